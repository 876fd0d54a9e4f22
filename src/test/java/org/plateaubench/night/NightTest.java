package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Json;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.ResultFiles;

/** A whole night on the simulated bench, in virtual time and in this process. */
class NightTest {

    private record Ran(Command.End end, MemoryRecord record, SimulatedBench bench) {

        List<String> lines() throws IOException {
            List<String> lines = new ArrayList<>();
            record.journal().forEach(line -> lines.add(Json.line(line)));
            return lines;
        }

        List<RecordedNight.Row> rows() throws IOException {
            List<RecordedNight.Row> rows = new ArrayList<>();
            record.samples(rows::add);
            return rows;
        }
    }

    private interface During {
        void tick(Night night, SimulatedBench bench, long tick);
    }

    private static final NightFiles FILES = NightFixture.files("short-night.yaml");

    private static Ran run(long seed, During during) throws Exception {
        VirtualClock clock = NightFixture.clock(FILES);
        SimulatedBench bench = NightFixture.bench(FILES, seed, clock, Transport.IN_PROCESS);
        MemoryRecord record = NightFixture.record(FILES);
        bench.open();
        Night[] night = new Night[1];
        night[0] = new Night(
                FILES,
                java.util.Optional.empty(),
                bench,
                clock,
                ZoneOffset.ofHours(1),
                record,
                new NightListener() {
                    @Override
                    public void tick(
                            long tick,
                            double seconds,
                            java.util.function.Supplier<org.plateaubench.engine.Progress> progress) {
                        during.tick(night[0], bench, tick);
                    }
                },
                true);
        Command.End end = night[0].run();
        bench.close();
        return new Ran(end, record, bench);
    }

    @Test
    void sameSeedSameSamplesDecisionsAndResults() throws Exception {
        Ran one = run(3, (n, b, t) -> {});
        Ran other = run(3, (n, b, t) -> {});
        assertEquals(one.rows(), other.rows());
        assertEquals(one.lines(), other.lines());
        assertArrayEquals(
                ResultFiles.json(NightResults.of(FILES, one.record())),
                ResultFiles.json(NightResults.of(FILES, other.record())));
        assertFalse(one.rows().equals(run(4, (n, b, t) -> {}).rows()), "another seed gave the same samples");
    }

    @Test
    void retraceOfARecordGivesTheSameDecisions() throws Exception {
        Ran ran = run(5, (n, b, t) -> {});
        assertEquals(Exit.DONE, ran.end().exit(), ran.end().reason());
        assertEquals(Optional.empty(), Retrace.of(FILES, ran.record()));
    }

    @Test
    void retraceFindsTheFirstDecisionThatWasChanged() throws Exception {
        Ran ran = run(5, (n, b, t) -> {});
        RecordedNight doctored = new Doctored(ran.record(), line -> {
            if ("pass-done".equals(line.get("decision"))) {
                line.put("rise", new java.math.BigDecimal("1.0000"));
            }
        });
        Retrace.Difference difference = Retrace.of(FILES, doctored).orElseThrow();
        assertTrue(difference.recorded().contains("\"rise\":1.0000"), difference.toString());
        assertTrue(difference.decided().contains("\"decision\":\"pass-done\""), difference.toString());
    }

    @Test
    void anEndByTheOperatorMakesTheBenchSafe() throws Exception {
        Ran ran = run(6, (night, bench, tick) -> {
            if (tick == 1000) {
                night.request(new Input.Operator("operator"));
            }
        });
        assertEquals(Exit.ENDED_EARLY, ran.end().exit());
        assertSafe(ran);
        assertEquals(Optional.empty(), Retrace.of(FILES, ran.record()));
    }

    /** A soak too short to show an approach once ended the results with a fault of the program. */
    @Test
    void theShortestNightThatThePlanAllowsGetsResults() throws Exception {
        NightFiles files = NightFixture.files("shortest-night.yaml");
        Rehearsal rehearsal = Rehearsal.of(files, 1, NightFixture.start(files));
        assertEquals(1, rehearsal.passesDone(), rehearsal.reason());
        assertTrue(
                rehearsal.results().steps().get(0).coolantRiseKelvin() > 1.0,
                rehearsal.results().toString());
    }

    private static void assertSafe(Ran ran) throws IOException {
        assertFalse(ran.bench().truth().heated(), "the heat is on");
        assertEquals(100.0, ran.bench().truth().fanDutyPercent());
        assertEquals(100.0, ran.bench().truth().pumpDutyPercent());
        List<Object> order = ran.record().journal().stream()
                .filter(line -> line.containsKey("safe"))
                .map(line -> line.get("target"))
                .toList();
        assertEquals(List.of("heat", "fan-duty", "pump-duty"), order);
    }

    /** A record whose journal was changed. */
    private record Doctored(RecordedNight night, java.util.function.Consumer<Map<String, Object>> change)
            implements RecordedNight {

        @Override
        public byte[] file(String name) throws IOException {
            return night.file(name);
        }

        @Override
        public void samples(java.util.function.Consumer<Row> each) throws IOException {
            night.samples(each);
        }

        @Override
        public List<Map<String, Object>> journal() throws IOException {
            List<Map<String, Object>> lines = night.journal();
            lines.forEach(change);
            return lines;
        }
    }
}
