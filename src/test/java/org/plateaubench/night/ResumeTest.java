package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Supplier;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.Finding;
import org.plateaubench.record.RecordFault;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Verified;
import org.plateaubench.results.PassResult;

/** Nights on disk that are cut off at a tick, as a crash would, and go on. */
class ResumeTest {

    private static final NightFiles FILES = NightFixture.files("short-night.yaml");
    private static final long SEED = 11;
    private static final double GAP_SECONDS = 3600;
    private static final SealingKey KEY = SealingKey.generate();

    @TempDir
    Path records;

    /** What a crash is in these tests: an error that goes through everything. What was queued still gets written. */
    private static final class Crash extends Error {
        private static final long serialVersionUID = 1L;
    }

    private interface During {
        void tick(long tick, String stage);
    }

    /** A bench with its clock, as a program that starts has them. */
    private static final class Started {
        final VirtualClock clock = NightFixture.clock(FILES);
        final SimulatedBench bench;
        final NightRun run;
        Path record;
        double lastCoolantCelsius;

        Started(NightFiles files, Transport transport) {
            bench = NightFixture.bench(files, SEED, clock, transport);
            run = new NightRun(files, Optional.empty(), bench, clock, Double.POSITIVE_INFINITY, hook -> {}, line -> {});
        }

        NightRun.Keeping keeping(Path folder) {
            return new NightRun.Keeping(
                    folder, KEY, "Plateau tests", Map.of(), ZoneOffset.ofHours(1), (r, simulated) -> record = r);
        }

        NightListener listener(During during) {
            return new NightListener() {
                @Override
                public void tick(long tick, double seconds, Supplier<Progress> progress) {
                    lastCoolantCelsius = bench.truth().coolantCelsius();
                    during.tick(tick, progress.get().stage());
                }
            };
        }
    }

    private Started cutAt(During during) throws Exception {
        Started started = new Started(FILES, Transport.IN_PROCESS);
        assertThrows(Crash.class, () -> started.run.run(started.keeping(records), started.listener(during)));
        return started;
    }

    private static NightRun.Finished resume(Started started, Path record) throws Exception {
        return started.run.resume(
                record,
                GAP_SECONDS,
                KEY.signer()::equals,
                started.keeping(record.getParent()),
                started.listener((tick, stage) -> {}));
    }

    private static List<Finding> failures(Path record) throws IOException {
        return Verified.of(record).findings().stream()
                .filter(f -> f.severity() == Severity.FAILURE)
                .toList();
    }

    private static List<RecordedNight.Row> rows(Path record) throws IOException {
        List<RecordedNight.Row> rows = new ArrayList<>();
        RecordFolder.open(record).samples(rows::add);
        return rows;
    }

    @ParameterizedTest
    @ValueSource(strings = {"pump-lock", "baseline", "cooldown", "approach", "soak", "dwell"})
    void goesOnAtThePassThatWasCutAndEndsComplete(String stage) throws Exception {
        int[] ticks = new int[1];
        Path record = cutAt((tick, now) -> {
                    if (now.equals(stage) && ++ticks[0] == (stage.equals("pump-lock") ? 1 : 4)) {
                        throw new Crash();
                    }
                })
                .record;
        List<RecordedNight.Row> before = rows(record);

        NightRun.Finished finished = resume(new Started(FILES, Transport.IN_PROCESS), record);

        assertEquals(Exit.DONE, finished.end().exit(), finished.end().reason());
        assertTrue(finished.sealed().isPresent(), finished.sealingFault());
        assertEquals(List.of(), failures(record));
        assertEquals(Optional.empty(), Retrace.of(FILES, RecordFolder.open(record)));
        List<RecordedNight.Row> after = rows(record);
        List<Map<String, Object>> resumed = RecordFolder.open(record).journal().stream()
                .filter(line -> "resumed".equals(line.get("type")))
                .toList();
        assertEquals(1, resumed.size());
        long last = ((Number) resumed.get(0).get("tick")).longValue();
        assertTrue(last <= before.get(before.size() - 1).sample().tick());
        int kept = (int) after.stream().filter(r -> r.sample().tick() <= last).count();
        if (last > 0) {
            assertEquals(before.subList(0, kept), after.subList(0, kept), "what was checkpointed is as it was");
            assertEquals(
                    last + Math.round(GAP_SECONDS / FILES.plan().sampleEverySeconds()) + 1,
                    after.get(kept).sample().tick());
        }
        assertEquals(
                List.of(2, 2),
                finished.results().steps().stream().map(s -> s.passes()).toList());
        List<PassResult> spoiled = finished.results().passes().stream()
                .filter(p -> p.status() == PassResult.Status.SPOILED)
                .toList();
        assertTrue(spoiled.size() <= 1, spoiled.toString());
        spoiled.forEach(p -> assertEquals("resumed after a gap of 3600 s", p.reason()));
    }

    @Test
    void theSimulatedBenchGoesThroughItsPastAgain() throws Exception {
        Started first = cutAt((tick, stage) -> {
            if (stage.equals("dwell")) {
                throw new Crash();
            }
        });
        // What is behind the last checkpoint is read here too: nothing cuts it off before the night goes on.
        RecordFolder record = RecordFolder.open(first.record);
        Started again = new Started(FILES, Transport.IN_PROCESS);
        again.bench.open();

        Past past = new Resumption(FILES, again.bench, again.clock, record).past(5.0);

        assertEquals("dwell", past.engine().stage());
        assertEquals(first.lastCoolantCelsius, again.bench.truth().coolantCelsius());
        assertFalse(again.bench.truth().heated(), "the heat is on during the gap");
        again.bench.close();
    }

    @Test
    void goesOnAgainAndAgain() throws Exception {
        Path record = cutAt((tick, stage) -> {
                    if (tick == 700) {
                        throw new Crash();
                    }
                })
                .record;
        for (int i = 0; i < 2; i++) {
            Started started = new Started(FILES, Transport.IN_PROCESS);
            long until = 2200 + i * 1500L;
            assertThrows(
                    Crash.class,
                    () -> started.run.resume(
                            record,
                            GAP_SECONDS,
                            KEY.signer()::equals,
                            started.keeping(records),
                            started.listener((tick, stage) -> {
                                if (tick >= until) {
                                    throw new Crash();
                                }
                            })));
        }
        NightRun.Finished finished = resume(new Started(FILES, Transport.IN_PROCESS), record);
        assertEquals(Exit.DONE, finished.end().exit(), finished.end().reason());
        assertEquals(List.of(), failures(record));
        assertEquals(Optional.empty(), Retrace.of(FILES, RecordFolder.open(record)));
    }

    @Test
    void aNightThatHadEndedIsOnlySealed() throws Exception {
        Started first = new Started(FILES, Transport.IN_PROCESS);
        NightRun.Finished whole = first.run.run(first.keeping(records), NightListener.NONE);
        Path record = whole.record();
        Files.delete(record.resolve("signature/tagmanifest-sha256.txt.sig"));
        Files.delete(record.resolve("tagmanifest-sha256.txt"));
        Files.writeString(record.resolve("data/results.json"), "half");
        Files.writeString(record.resolve("data/passes.csv.tmp"), "half");
        Started again = new Started(FILES, Transport.IN_PROCESS);

        NightRun.Finished sealed = again.run.resume(
                record, GAP_SECONDS, KEY.signer()::equals, again.keeping(records), again.listener((tick, stage) -> {
                    throw new Crash();
                }));

        assertEquals(whole.end().exit(), sealed.end().exit());
        assertEquals(whole.end().reason(), sealed.end().reason());
        assertEquals(whole.results(), sealed.results());
        assertTrue(sealed.sealed().isPresent(), sealed.sealingFault());
        assertEquals(List.of(), failures(record));
    }

    @Test
    void anotherBenchIsRefusedAndTheRecordCanStillGoOn() throws Exception {
        Path record = cutAt((tick, stage) -> {
                    if (tick == 300) {
                        throw new Crash();
                    }
                })
                .record;
        String other = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8)
                .replace("SIMULATED-CONTROLLER,0,1", "SIMULATED-CONTROLLER,0,2");
        NightFiles files = NightFixture.files(
                "short-night.yaml", new SourceText("bench.yaml", other.getBytes(StandardCharsets.UTF_8)));
        BenchException refused =
                assertThrows(BenchException.class, () -> resume(new Started(files, Transport.IN_PROCESS), record));
        assertTrue(refused.getMessage().contains("the record was begun with"), refused.getMessage());
        assertEquals(
                Exit.DONE,
                resume(new Started(FILES, Transport.IN_PROCESS), record).end().exit());
    }

    @Test
    void aProgramThatDecidesOtherwiseDoesNotGoOn() throws Exception {
        Path record = cutAt((tick, stage) -> {
                    if (tick == 700) {
                        throw new Crash();
                    }
                })
                .record;
        String plan = new String(FILES.planText().bytes(), StandardCharsets.UTF_8)
                .replace("for: 2 min }, within", "for: 3 min }, within");
        Path other = Files.writeString(records.resolve("plan.yaml"), plan);
        NightFiles files = NightFiles.read(
                        new SourceText("plan.yaml", Files.readAllBytes(other)), FILES.fansText(), FILES.benchText())
                .value()
                .orElseThrow();
        RecordFault refused =
                assertThrows(RecordFault.class, () -> resume(new Started(files, Transport.IN_PROCESS), record));
        assertTrue(
                refused.found().startsWith("this program does not decide as the one that made the record"),
                refused.found());
    }

    @Test
    void aRequestBesideTheRecordEndsTheNightSafely() throws Exception {
        NightFiles files = FILES;
        VirtualClock clock = VirtualClock.paced(NightFixture.start(files).toInstant(), 1200);
        SimulatedBench bench = NightFixture.bench(files, SEED, clock, Transport.IN_PROCESS);
        NightRun run = new NightRun(files, Optional.empty(), bench, clock, 1200, hook -> {}, line -> {});
        Path[] record = new Path[1];
        NightListener asking = new NightListener() {
            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                if (tick == 100) {
                    try {
                        StopRequest.beside(record[0]).make("A. Person");
                    } catch (IOException e) {
                        throw new IllegalStateException(e);
                    }
                }
            }
        };
        NightRun.Finished finished = run.run(
                new NightRun.Keeping(
                        records,
                        KEY,
                        "Plateau tests",
                        Map.of(),
                        ZoneOffset.ofHours(1),
                        (r, simulated) -> record[0] = r),
                asking);
        assertEquals(Exit.ENDED_EARLY, finished.end().exit());
        assertEquals("ended by A. Person", finished.end().reason());
        assertTrue(finished.sealed().isPresent(), finished.sealingFault());
        assertFalse(bench.truth().heated());
        assertTrue(Files.notExists(Path.of(record[0] + ".stop")), "the request is still there");
    }
}
