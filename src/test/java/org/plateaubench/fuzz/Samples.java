package org.plateaubench.fuzz;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.UnaryOperator;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.Nights;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.TrustFile;
import org.plateaubench.results.NightResults;

/** A real, short, sealed record of which fuzzing changes one file at a time. One for each thread. */
final class Samples {

    static final String PLAN = """
            title: A night to be spoiled
            purpose: What becomes of it?
            sample-every: 1 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 2 s }
            heat: { workload: compile }
            measurements:
              - thermal:
                  cooldown: { each: block, duty: 60 %, until: { slope: 60 K/h, window: 1 min, for: 5 s }, within-baseline: 10 K, at-least: 30 s, at-most: 2 min }
                  soak:     { until: { slope: 60 K/h, window: 1 min, for: 5 s }, at-least: 30 s, at-most: 2 min }
                  dwell:    { average: 1 min }
                  steps: [{ speed: 900 rpm }, { duty: 80 % }]
                  repeats: 1
                  order: { kind: as-written }
            limits:
              - { channel: coolant, above: 50 °C, for: 3 s }
            """;

    private static final SealingKey KEY = Nights.STRANGER;
    private static final ThreadLocal<Samples> OF_THREAD = ThreadLocal.withInitial(Samples::new);

    private final Path folder;
    private final Path record;
    private final NightFiles files;
    private final List<RecordedNight.Row> rows = new ArrayList<>();
    private final List<Map<String, Object>> journal;

    private Samples() {
        files = NightFiles.read(
                        new SourceText("plan.yaml", PLAN.getBytes(StandardCharsets.UTF_8)),
                        NightFiles.simulatedFans(),
                        NightFiles.simulatedBench())
                .value()
                .orElseThrow();
        VirtualClock clock = VirtualClock.unpaced(
                files.bench().simulation().orElseThrow().start().toInstant());
        SimulatedBench bench = SimulatedBench.create(files.bench(), files.fans().set(), 1, clock, Transport.IN_PROCESS);
        try {
            folder = Files.createTempDirectory("fuzz");
            record = new NightRun(files, Optional.empty(), bench, clock, Double.POSITIVE_INFINITY, h -> {}, e -> {})
                    .run(
                            new NightRun.Keeping(
                                    folder,
                                    KEY,
                                    "Plateau tests",
                                    Map.of(),
                                    files.bench()
                                            .simulation()
                                            .orElseThrow()
                                            .start()
                                            .getOffset(),
                                    (r, simulated) -> {}),
                            NightListener.NONE)
                    .record();
            RecordFolder.open(record).samples(rows::add);
            journal = RecordFolder.open(record).journal();
        } catch (IOException | BenchException e) {
            throw new IllegalStateException(e);
        }
    }

    static Samples record() {
        return OF_THREAD.get();
    }

    static byte[] trustFile() {
        return Nights.trustFile(KEY);
    }

    NightFiles files() {
        return files;
    }

    Path scratch(String name) {
        return folder.resolve(name);
    }

    byte[] bytes(String file) {
        try {
            return Files.readAllBytes(record.resolve(file));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** Reads everything of the record with another file in its place: audit, samples, journal, results. */
    void with(String file, byte[] bytes) throws IOException {
        byte[] before = bytes(file);
        Files.write(record.resolve(file), bytes);
        try {
            boolean failed =
                    Audit.audit(record, AuditOptions.of(TrustFile.EMPTY)).fails();
            if (!failed) {
                throw new AssertionError("the audit of a changed record by an unknown signer passed");
            }
            try {
                RecordFolder changed = RecordFolder.open(record);
                changed.samples(row -> {});
                changed.journal();
                NightResults.of(files, changed);
            } catch (IOException e) {
                if (e.getMessage() == null || e.getMessage().isBlank()) {
                    throw new AssertionError("a failure without words", e);
                }
            }
        } finally {
            Files.write(record.resolve(file), before);
        }
    }

    /** The record with other journal lines that hang together again. */
    MemoryRecord rewritten(UnaryOperator<List<Map<String, Object>>> change) {
        MemoryRecord night = new MemoryRecord(files.toRecord());
        rows.forEach(r -> night.sample(r.sample(), r.utc(), r.stage(), r.pass()));
        for (Map<String, Object> line : change.apply(journal)) {
            Map<String, Object> fields = new LinkedHashMap<>(line);
            fields.remove("seq");
            night.journal(fields);
        }
        return night;
    }
}
