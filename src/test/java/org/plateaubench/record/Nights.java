package org.plateaubench.record;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.sample.Sample;
import org.plateaubench.units.Unit;

/** Invented nights for tests: the same rows and lines each time. */
public final class Nights {

    public static final SealingKey TECHNICIAN =
            SealingKey.ofSeed("technician's secret in tests 001".getBytes(StandardCharsets.US_ASCII));
    public static final SealingKey LEAD =
            SealingKey.ofSeed("the lab lead's secret, tests 002".getBytes(StandardCharsets.US_ASCII));
    public static final SealingKey STRANGER =
            SealingKey.ofSeed("nobody knows this one, tests 003".getBytes(StandardCharsets.US_ASCII));

    public static final String OPENED = "2026-11-24T22:10:03.000Z";
    public static final String SEALED = "2026-11-25T06:02:11.000Z";

    public static final Map<String, String> OUTCOME = Map.of("Outcome", "complete");

    private Nights() {}

    public static RecordHead head(String name) {
        Map<String, byte[]> files = new LinkedHashMap<>();
        files.put("plan.yaml", "title: a night in a test\n".getBytes(StandardCharsets.UTF_8));
        files.put("fans.yaml", "set: A\r\n".getBytes(StandardCharsets.UTF_8));
        files.put("bench.yaml", "bench: example loop # °C, no line end".getBytes(StandardCharsets.UTF_8));
        return new RecordHead(
                name,
                OPENED,
                "Plateau 0.1.0",
                true,
                files,
                List.of(
                        new ColumnHead("ambient", Unit.CELSIUS),
                        new ColumnHead("coolant", Unit.CELSIUS),
                        new ColumnHead("fan-1", Unit.RPM)),
                List.of("baseline", "soak", "dwell"),
                Map.of("type", "header"));
    }

    public static Sample sample(int tick) {
        Reading coolant = tick % 7 == 3
                ? Reading.none(Quality.MISSING)
                : Reading.of(28.4 + tick * 0.01, Unit.CELSIUS, Quality.GOOD);
        Reading fan = tick % 7 == 3
                ? Reading.none(Quality.GONE)
                : Reading.of(900 + tick, Unit.RPM, tick % 5 == 4 ? Quality.OUT_OF_RANGE : Quality.GOOD);
        return new Sample(
                tick, tick * 1000L + 3, 0, List.of(Reading.of(22.05, Unit.CELSIUS, Quality.GOOD), coolant, fan));
    }

    public static RecordedNight.Row row(int tick) {
        return new RecordedNight.Row(
                sample(tick),
                String.format(Locale.ROOT, "2026-11-24T22:%02d:%02d.000Z", 10 + tick / 60 % 50, tick % 60),
                tick < 3 ? "baseline" : "soak",
                tick < 3 ? "" : "900-rpm.1");
    }

    public static Map<String, Object> line(int number) {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("event", "command");
        fields.put("tick", number);
        fields.put("duty_percent", new BigDecimal("42.50"));
        return fields;
    }

    /** Records so many samples, a journal line every third, a checkpoint every so often. */
    public static void fill(RecordWriter writer, int samples, int checkpointEvery) {
        for (int tick = 0; tick < samples; tick++) {
            RecordedNight.Row row = row(tick);
            writer.sample(row.sample(), row.utc(), row.stage(), row.pass());
            if (tick % 3 == 0) {
                writer.journal(line(tick));
            }
            if (tick % checkpointEvery == checkpointEvery - 1) {
                writer.checkpoint(row.utc());
            }
        }
    }

    /** A trust file that knows these keys by these names. */
    public static TrustFile trusting(Map<String, SealingKey> keys) {
        List<TrustFile.Trusted> trusted = new ArrayList<>();
        new TreeMap<>(keys)
                .forEach((name, key) ->
                        trusted.add(new TrustFile.Trusted(name, key.signer(), Optional.empty(), Optional.empty())));
        return new TrustFile(trusted, List.of());
    }

    /** The trust file that knows one key, as it is on the disk. */
    public static byte[] trustFile(SealingKey key) {
        return trusting(Map.of("technician", key)).bytes();
    }

    /** A copy of a folder. */
    public static Path copy(Path from, Path to) throws IOException {
        try (Stream<Path> paths = Files.walk(from)) {
            for (Path path : paths.toList()) {
                Files.copy(path, to.resolve(from.relativize(path).toString()));
            }
        }
        return to;
    }

    /** A small record that is whole and not sealed yet. */
    public static Path unsealed(Path recordsFolder, String name, SealingKey key) throws IOException {
        try (RecordWriter writer = RecordWriter.open(recordsFolder, head(name), key, new QuickOps(), 2_000)) {
            fill(writer, 12, 5);
            writer.file("results.json", "{\"steps\":[]}\n".getBytes(StandardCharsets.UTF_8));
            writer.file("load-1.log", new byte[0]);
            writer.checkpoint(SEALED);
            return writer.folder();
        }
    }

    /** A small sealed record. */
    public static Path sealed(Path recordsFolder, String name, SealingKey key) throws IOException {
        Path record = unsealed(recordsFolder, name, key);
        return Sealing.seal(record, key, SEALED, OUTCOME, new QuickOps()).record();
    }
}
