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

/** Invented nights for tests: small files that are taken, and the same rows and lines each time. */
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

    private static final String PLAN = """
            title: a night in a test
            purpose: to be forged
            sample-every: 1 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            measurements: [characterise: { from: 0 %, to: 100 %, by: 50 %, settle: 10 s, sweeps: 2, starts: 5 }]
            """;
    private static final String FANS = "set: A\r\nspecimens: [A-1]\r\nmount: { number: 1, side: push }\r\n";
    /** More than ASCII, and no line end. */
    private static final String BENCH = """
            bench: example loop # °C
            configuration: { panels: open frame, orientation: flat }
            devices: { c: { port: COM1, baud: 9600, dialect: text, timeout: 300 ms, silence-cutoff: 10 s } }
            channels:
              ambient: { device: c, ask: A, unit: °C }
              coolant: { device: c, ask: C, unit: °C }
              fan-1: { device: c, ask: F, tachometer: 2 per revolution }
              pump: { device: c, ask: P, tachometer: 2 per revolution }
            groups: { fans: [fan-1] }
            actuators:
              fan-duty: { device: c, set: "D{percent}", readback: D?, safe: 100 % }
              pump-duty: { device: c, set: "E{percent}", readback: E?, safe: 100 % }
            limits: [{ channel: pump, below: 2300 rpm, for: 3 s }]""";

    private Nights() {}

    public static RecordHead head(String name) {
        Map<String, byte[]> files = new LinkedHashMap<>();
        files.put("plan.yaml", PLAN.getBytes(StandardCharsets.UTF_8));
        files.put("fans.yaml", FANS.getBytes(StandardCharsets.UTF_8));
        files.put("bench.yaml", BENCH.getBytes(StandardCharsets.UTF_8));
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
