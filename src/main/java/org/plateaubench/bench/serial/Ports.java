package org.plateaubench.bench.serial;

import java.io.IOException;
import java.nio.file.DirectoryIteratorException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import org.plateaubench.benchfile.DeviceSpec;

/** Where the line of one device may be found. Looked at anew at each attempt, since names change when things are plugged. */
public interface Ports {

    /** {@return the paths to try, in order; empty if there is none now} */
    List<String> paths();

    /**
     * Opens the line.
     *
     * @param path one of {@link #paths()}
     * @return the line, open; the caller closes it
     * @throws LineException if it cannot be opened
     */
    Line open(String path) throws LineException;

    /**
     * The serial ports that a bench file names for a device. A star in the last part of the path stands for any
     * characters: each port that fits is asked, and the one with the right identity is taken. So twin adapters without
     * serial numbers can change places.
     *
     * @param spec the device
     * @return its ports
     */
    static Ports of(DeviceSpec.Serial spec) {
        return new Ports() {
            @Override
            public List<String> paths() {
                return spec.port().indexOf('*') < 0 ? List.of(spec.port()) : matching(Path.of(spec.port()));
            }

            @Override
            public Line open(String path) throws LineException {
                Framing framing = spec.dialect() == DeviceSpec.Dialect.MODBUS
                        ? new ModbusFraming()
                        : Framing.lines(spec.lineEnd(), spec.checksum());
                return SerialLine.open(path, spec.baud(), spec.parity(), spec.stopBits(), framing, Optional.empty());
            }
        };
    }

    private static List<String> matching(Path pattern) {
        List<String> paths = new ArrayList<>();
        try (DirectoryStream<Path> found = Files.newDirectoryStream(
                pattern.toAbsolutePath().getParent(), pattern.getFileName().toString())) {
            found.forEach(path -> paths.add(path.toString()));
        } catch (IOException | DirectoryIteratorException e) {
            // The folder appears with the first device in it: for now there is none.
            return List.of();
        }
        Collections.sort(paths);
        return paths;
    }
}
