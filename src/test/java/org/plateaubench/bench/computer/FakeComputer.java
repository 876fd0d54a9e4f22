package org.plateaubench.bench.computer;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.units.Unit;

/**
 * A tree of files as the kernel shows them: each chip's folder lies with its device, and a link under its changing number
 * leads to it.
 */
final class FakeComputer {

    private final Path root;
    private final List<ChannelSpec> channels = new ArrayList<>();

    FakeComputer(Path root) {
        this.root = root;
    }

    Path root() {
        return root;
    }

    /** Writes a file under the root. */
    FakeComputer file(String path, String text) {
        try {
            Path file = root.resolve(path);
            Files.createDirectories(file.getParent());
            Files.writeString(file, text + "\n");
            return this;
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** A chip of a device: files are pairs of name and text. */
    FakeComputer chip(int number, String device, String name, String... files) {
        String folder = "sys/devices/" + device + "/hwmon/hwmon" + number;
        file(folder + "/name", name);
        for (int i = 0; i < files.length; i += 2) {
            file(folder + "/" + files[i], files[i + 1]);
        }
        link(folder + "/device", "sys/devices/" + device);
        link("sys/class/hwmon/hwmon" + number, folder);
        return this;
    }

    /** Takes a chip away, as when its driver is unloaded. */
    FakeComputer remove(int number) {
        try {
            Path link = root.resolve("sys/class/hwmon/hwmon" + number);
            Path folder = link.toRealPath();
            Files.delete(link);
            try (var files = Files.list(folder)) {
                for (Path file : files.toList()) {
                    Files.delete(file);
                }
            }
            Files.delete(folder);
            return this;
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    FakeComputer link(String path, String target) {
        try {
            Path link = root.resolve(path);
            Files.createDirectories(link.getParent());
            Files.createSymbolicLink(link, root.resolve(target));
            return this;
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    FakeComputer sensor(String channel, String label, Unit unit) {
        return channel(channel, new ChannelSpec.Source.HostSensor(label), unit, Optional.empty());
    }

    FakeComputer sensor(String channel, String label, Unit unit, double low, double high) {
        return channel(
                channel, new ChannelSpec.Source.HostSensor(label), unit, Optional.of(new ChannelSpec.Range(low, high)));
    }

    FakeComputer fact(String channel, String fact, Unit unit) {
        return channel(channel, new ChannelSpec.Source.HostFact(fact), unit, Optional.empty());
    }

    FakeComputer channel(String name, ChannelSpec.Source source, Unit unit, Optional<ChannelSpec.Range> valid) {
        channels.add(new ChannelSpec(
                name,
                "host",
                source,
                unit,
                OptionalInt.empty(),
                0,
                Optional.empty(),
                Optional.empty(),
                valid,
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                Optional.empty()));
        return this;
    }

    BenchFile bench() {
        return new BenchFile(
                "bench",
                List.of(),
                List.of(),
                channels,
                List.of(),
                List.of(),
                List.of(),
                Optional.empty(),
                List.of(),
                Optional.empty(),
                Optional.empty());
    }
}
