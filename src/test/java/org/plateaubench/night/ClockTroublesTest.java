package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalTime;
import java.time.OffsetDateTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.function.BooleanSupplier;
import java.util.function.Supplier;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.Utc;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.RecordedNight.Row;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;

/**
 * Validation against the table of events: what a night makes of a machine whose clocks step, whose local time changes,
 * that sleeps, stalls or comes late. All in virtual time.
 */
class ClockTroublesTest {

    private static final NightFiles ORDINARY = starting("2026-11-24T22:10:00+01:00");
    private static final double DWELL_SECONDS = 60;
    private static final long SEED = 1;

    private static NightFiles starting(String start) {
        return files("{ workload: compile }", start);
    }

    private static NightFiles files(String heat, String start) {
        String plan =
                new String(NightFixture.files("shortest-night.yaml").planText().bytes(), StandardCharsets.UTF_8);
        return SimulatedNights.files(
                plan.replace("repeats: 1", "repeats: 2").replace("{ workload: compile }", heat),
                new String(NightFiles.simulatedFans().bytes(), StandardCharsets.UTF_8),
                new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8)
                        .replaceFirst("start: \\S+", "start: " + start));
    }

    /** A machine's clock: what befalls the machine moves its two times against the bench's, which goes on. */
    private static final class Machine implements Clock {
        private final VirtualClock bench;
        private Duration ahead = Duration.ZERO;
        private long asleepNanos;
        private long lateNanos;
        private long lateUntilNanos;
        /** The wall clock as it was read at each tick, by the monotonic millisecond. */
        private final Map<Long, Instant> read = new TreeMap<>();

        Machine(VirtualClock bench) {
            this.bench = bench;
        }

        /** Somebody or something sets the wall clock. */
        void step(double seconds) {
            ahead = ahead.plusMillis(Math.round(seconds * 1000));
        }

        /** Nothing runs for so long. */
        void stall(double seconds) {
            bench.spend(Math.round(seconds * 1e9));
        }

        /** The machine sleeps, and its monotonic clock stands still meanwhile. */
        void sleep(double seconds) {
            asleepNanos += Math.round(seconds * 1e9);
            stall(seconds);
        }

        /** Every wait ends late for some time. */
        void comeLate(double seconds, double forSeconds) {
            lateNanos = Math.round(seconds * 1e9);
            lateUntilNanos = nanos() + Math.round(forSeconds * 1e9);
        }

        @Override
        public long nanos() {
            return bench.nanos() - asleepNanos;
        }

        @Override
        public Instant wall() {
            Instant wall = bench.wall().plus(ahead);
            read.put(nanos() / 1_000_000, wall);
            return wall;
        }

        @Override
        public void awaitNanos(long offsetNanos, BooleanSupplier enough) {
            long late = nanos() < lateUntilNanos ? lateNanos : 0;
            bench.awaitNanos(offsetNanos + asleepNanos + late, enough);
        }

        @Override
        public void spend(long nanos) {
            bench.spend(nanos);
        }

        /** A night must take this for a machine's own clock, or it would not look for stalls. */
        @Override
        public boolean simulated() {
            return false;
        }
    }

    /** What befalls the machine. */
    private interface Trouble {
        void befalls(Machine machine);
    }

    /** A night that ended with its bench safe. */
    private record Ran(
            NightFiles files,
            Command.End end,
            MemoryRecord record,
            List<Row> rows,
            NightResults results,
            Machine machine) {

        List<String> clockEvents() throws Exception {
            return record.journal().stream()
                    .filter(line -> "clock".equals(line.get("input")))
                    .map(line -> line.get("event") + " " + ((Number) line.get("seconds")).doubleValue())
                    .toList();
        }

        List<String> spoiled() {
            return results.passes().stream()
                    .filter(p -> p.status() == PassResult.Status.SPOILED)
                    .map(PassResult::reason)
                    .toList();
        }

        List<PassResult> counting() {
            return results.passes().stream()
                    .filter(p -> p.status() == PassResult.Status.DONE)
                    .toList();
        }

        /** What must hold whatever befell the machine. */
        void assertTrueToItsClocks() throws Exception {
            assertEquals(Exit.DONE, end.exit(), end.reason());
            assertEquals(Optional.empty(), Retrace.of(files, record));
            Row before = null;
            for (Row row : rows) {
                long millis = row.sample().offsetMillis();
                assertEquals(Utc.text(machine.read.get(millis)), row.utc(), "UTC of the row at " + millis + " ms");
                assertTrue(before == null || millis > before.sample().offsetMillis(), "monotonic time at " + millis);
                before = row;
            }
            assertEquals(2, counting().size());
            for (PassResult pass : counting()) {
                List<Row> dwell = rows.stream()
                        .filter(r -> r.sample().tick() >= pass.fromTick()
                                && r.sample().tick() <= pass.toTick())
                        .toList();
                double seconds = dwell.get(dwell.size() - 1).sample().seconds()
                        - dwell.get(0).sample().seconds();
                assertEquals(DWELL_SECONDS, seconds, 1.0 + 0.3, "dwell of " + pass.pass());
            }
        }
    }

    private static Ran run(NightFiles files, ZoneId zone, String stage, double afterSeconds, Trouble trouble)
            throws Exception {
        VirtualClock time = NightFixture.clock(files);
        Machine machine = new Machine(time);
        SimulatedBench bench = NightFixture.bench(files, SEED, time, Transport.IN_PROCESS);
        MemoryRecord record = NightFixture.record(files);
        double[] dueSeconds = {Double.POSITIVE_INFINITY};
        boolean[] befallen = {false};
        NightListener listener = new NightListener() {
            @Override
            public void journalled(double seconds, Map<String, Object> fields) {
                if (!befallen[0] && "stage".equals(fields.get("decision")) && stage.equals(fields.get("stage"))) {
                    befallen[0] = true;
                    dueSeconds[0] = seconds + afterSeconds;
                }
            }

            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                if (seconds >= dueSeconds[0]) {
                    dueSeconds[0] = Double.POSITIVE_INFINITY;
                    trouble.befalls(machine);
                }
            }
        };
        try (bench) {
            bench.open();
            Command.End end = new Night(files, Optional.empty(), bench, machine, zone, record, listener, true).run();
            assertFalse(bench.truth().heated(), "the heat is on");
            assertEquals(100.0, bench.truth().fanDutyPercent());
            assertEquals(100.0, bench.truth().pumpDutyPercent());
            List<Row> rows = new ArrayList<>();
            record.samples(rows::add);
            return new Ran(files, end, record, rows, NightResults.of(files, record), machine);
        }
    }

    private static Ran run(String stage, Trouble trouble) throws Exception {
        return run(ORDINARY, ZoneOffset.ofHours(1), stage, 20, trouble);
    }

    private static Ran undisturbed() throws Exception {
        return run("", machine -> {});
    }

    @Test
    void aQuietMachineGivesNoEvent() throws Exception {
        Ran ran = undisturbed();
        ran.assertTrueToItsClocks();
        assertEquals(List.of(), ran.clockEvents());
        assertEquals(List.of(), ran.spoiled());
    }

    @ParameterizedTest
    @CsvSource({"1", "-1", "3600", "-3600"})
    void aStepOfTheWallClockInASoakIsJournalledAndChangesNoResult(double seconds) throws Exception {
        Ran ran = run("soak", machine -> machine.step(seconds));
        ran.assertTrueToItsClocks();
        assertEquals(List.of("step " + seconds), ran.clockEvents());
        assertEquals(List.of(), ran.spoiled());
        Ran quiet = undisturbed();
        assertEquals(quiet.results(), ran.results());
        Row last = ran.rows().get(ran.rows().size() - 1);
        Row lastQuiet = quiet.rows().get(quiet.rows().size() - 1);
        assertEquals(lastQuiet.sample(), last.sample());
        assertEquals(
                seconds,
                Duration.between(Instant.parse(lastQuiet.utc()), Instant.parse(last.utc()))
                        .toSeconds());
    }

    @ParameterizedTest
    @CsvSource({"1", "-1", "3600", "-3600"})
    void aStepOfTheWallClockInADwellSpoilsThePass(double seconds) throws Exception {
        Ran ran = run("dwell", machine -> machine.step(seconds));
        ran.assertTrueToItsClocks();
        assertEquals(List.of("step " + seconds), ran.clockEvents());
        assertEquals(List.of("clock step of " + seconds + " s in the dwell"), ran.spoiled());
    }

    @ParameterizedTest
    @CsvSource({"soak, 0", "dwell, 1"})
    void aSleepOfTheMachineThroughWhichItsMonotonicClockStoodIsJournalledAsAStep(String stage, int spoiled)
            throws Exception {
        // The controller's silence cut-off ends the heat of a supply; a workload sleeps with the machine, so it heats
        // on.
        Ran ran = run(stage, machine -> machine.sleep(3600));
        ran.assertTrueToItsClocks();
        assertEquals(List.of("step 3600.0"), ran.clockEvents());
        assertEquals(
                spoiled,
                ran.spoiled().stream()
                        .filter("clock step of 3600.0 s in the dwell"::equals)
                        .count(),
                ran.spoiled().toString());
    }

    @ParameterizedTest
    @CsvSource({"soak, 7", "dwell, 7", "soak, 3600", "dwell, 3600"})
    void aMachineThatStoodStillWhileItsMonotonicClockWentOnIsAStall(String stage, double seconds) throws Exception {
        Ran ran = run(stage, machine -> machine.stall(seconds));
        ran.assertTrueToItsClocks();
        List<String> events = ran.clockEvents();
        assertEquals(1, events.size(), events.toString());
        double told = Double.parseDouble(events.get(0).substring("stall ".length()));
        assertEquals(seconds, told, 1.0 + 0.3, events.toString());
        Row after = ran.rows().stream()
                .filter(r -> r.sample().missed() > 0)
                .findFirst()
                .orElseThrow();
        assertEquals(seconds, after.sample().missed(), 1.0, "ticks that were missed and not made up");
        if (stage.equals("dwell")) {
            assertTrue(
                    ran.spoiled().get(0).startsWith("clock stall of "),
                    ran.spoiled().toString());
        }
    }

    /** The cut-off has acted and the coolant is at rest again: it did not move after the heat went on, and is not frozen. */
    @Test
    void aStallRightAfterTheHeatWentOnMakesNoFrozenSensor() throws Exception {
        NightFiles files = files("{ power: 200 W }", "2026-11-24T22:10:00+01:00");
        Ran ran = run(files, ZoneOffset.ofHours(1), "soak", 5, machine -> machine.stall(7200));
        ran.assertTrueToItsClocks();
        assertEquals(List.of("stall 7200.02"), ran.clockEvents());
        assertEquals(1, ran.spoiled().size());
    }

    @ParameterizedTest
    @CsvSource({"1, 0", "10, 1"})
    void ticksThatComeLateSpoilThePassOnceTheyAreMoreThanOneInAHundred(double forSeconds, int spoiled)
            throws Exception {
        Ran ran = run("dwell", machine -> machine.comeLate(0.2, forSeconds));
        ran.assertTrueToItsClocks();
        assertEquals(List.of(), ran.clockEvents());
        assertEquals(spoiled, ran.spoiled().size());
        assertTrue(
                ran.spoiled().stream().allMatch(reason -> reason.contains("late or missed ticks")),
                ran.spoiled().toString());
        assertEquals(
                Math.round(forSeconds),
                ran.rows().stream()
                        .filter(r -> r.sample().offsetMillis() % 1000 >= 200)
                        .count());
    }

    /** Local clocks go forward an hour at the end of March, and back at the end of October. */
    @ParameterizedTest
    @CsvSource({
        "2026-03-29T02:00:00+01:00, 3600.0, soak",
        "2026-03-29T02:00:00+01:00, 3600.0, dwell",
        "2026-10-25T03:00:00+02:00, -3600.0, soak",
        "2026-10-25T03:00:00+02:00, -3600.0, dwell"
    })
    void aChangeOfLocalTimeIsJournalledAndSpoilsThePassOnlyInItsDwell(
            OffsetDateTime change, double shiftSeconds, String stage) throws Exception {
        Ran quiet = undisturbed();
        double begins = quiet.rows().stream()
                .filter(r -> r.stage().equals(stage))
                .findFirst()
                .orElseThrow()
                .sample()
                .seconds();
        OffsetDateTime start = change.minusSeconds(Math.round(begins) + 20);
        Ran ran = run(starting(start.toString()), ZoneId.of("Europe/Berlin"), "", 0, machine -> {});
        ran.assertTrueToItsClocks();
        assertEquals(List.of("zone " + shiftSeconds), ran.clockEvents());
        if (stage.equals("dwell")) {
            assertEquals(List.of("clock zone of " + shiftSeconds + " s in the dwell"), ran.spoiled());
        } else {
            assertEquals(quiet.results(), ran.results());
        }
        Row last = ran.rows().get(ran.rows().size() - 1);
        assertEquals(
                Utc.text(start.toInstant().plusMillis(last.sample().offsetMillis())),
                last.utc(),
                "UTC knows no summer time");
    }

    @ParameterizedTest
    @CsvSource({
        "2026-03-28T22:10:00+01:00, 8.333333",
        "2026-10-24T22:10:00+02:00, 10.333333",
        "2026-11-24T22:10:00+01:00, 9.333333"
    })
    void aTimeOfDayInThePlanIsThatOfTheClocksOnTheWall(OffsetDateTime start, double hours) {
        Input.Header header = Night.header(
                ORDINARY, Optional.empty(), VirtualClock.unpaced(start.toInstant()), ZoneId.of("Europe/Berlin"));
        assertEquals(hours * 3600, header.secondsUntil(LocalTime.of(7, 30)), 1);
    }
}
