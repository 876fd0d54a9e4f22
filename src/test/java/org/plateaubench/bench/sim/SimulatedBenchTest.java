package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Wants;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.problem.SourceText;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;

class SimulatedBenchTest {

    private static final BenchFile FILE = Simulations.shipped();
    private static final Transport NEAREST = Pty.supported() ? Transport.PSEUDO_TERMINAL : Transport.IN_PROCESS;

    /** Everything that a short night brings: sweeps, results, load events, and the truth at the end of each tick. */
    private static List<Object> night(Transport transport, String fanSet, long seed, int ticks, Consumer<Faults> faults)
            throws BenchException {
        VirtualClock clock = Simulations.clock();
        List<Object> all = new ArrayList<>();
        try (SimulatedBench bench = SimulatedBench.create(FILE, fanSet, seed, clock, transport)) {
            faults.accept(bench.faults());
            all.add(bench.open());
            for (int tick = 0; tick < ticks; tick++) {
                clock.awaitNanos(tick * 1_000_000_000L, () -> false);
                Sweep sweep = bench.read(tick);
                all.add(bench.truth().coolantCelsius());
                clock.spend(sweep.busyNanos());
                all.add(sweep);
                all.add(bench.loadEvents());
                if (tick == 20) {
                    all.add(bench.set(BenchFile.FAN_DUTY, 45.5));
                    all.add(bench.set(BenchFile.PUMP_DUTY, 86.36));
                    all.add(bench.heatOn(new HeatDemand.Workload("compile", 1)));
                }
                if (tick == 400) {
                    all.add(bench.heatOff());
                }
            }
            all.addAll(bench.makeSafe(false));
        }
        return all;
    }

    private static void everyKindOfTrouble(Faults faults) {
        faults.add(new Fault(Kind.SILENT, "controller", 60_500, 62_500));
        faults.add(new Fault(Kind.GARBAGE, "meter", 80_000, 83_000));
        faults.add(new Fault(Kind.TRUNCATED, "controller", 100_000, 102_000));
        faults.add(new Fault(Kind.STALE, "meter", 120_000, 124_000));
        faults.add(new Fault(Kind.NO_NUMBER, "coolant", 140_000, 143_000));
        faults.add(new Fault(Kind.HANG_UP, "controller", 200_500, 205_500));
        faults.add(new Fault(Kind.RESET_OUTPUTS, "controller", 205_400, 205_500));
        faults.add(new Fault(Kind.DECIMAL_COMMA, "ambient", 240_000, 243_000));
        faults.add(new Fault(Kind.WRONG_IDENTITY, "controller", 260_000, 264_000));
        faults.add(new Fault(Kind.SILENT, "controller", 261_000, 262_500));
        faults.add(new Fault(Kind.FROZEN, "cpu", 300_000, 340_000));
        faults.add(new Fault(Kind.SILENT, "meter", 350_000, 360_000));
    }

    @Test
    void bothTransportsBringTheSameNight() throws BenchException {
        Wants.that(Pty.supported(), "pseudo-terminals");
        List<Object> pty = night(Transport.PSEUDO_TERMINAL, "A", 5, 600, f -> {});
        List<Object> inProcess = night(Transport.IN_PROCESS, "A", 5, 600, f -> {});
        assertEquals(inProcess, pty, "seed 5");
    }

    @Test
    void bothTransportsBringTheSameTroubles() throws BenchException {
        Wants.that(Pty.supported(), "pseudo-terminals");
        List<Object> pty = night(Transport.PSEUDO_TERMINAL, "B", 6, 420, SimulatedBenchTest::everyKindOfTrouble);
        List<Object> inProcess = night(Transport.IN_PROCESS, "B", 6, 420, SimulatedBenchTest::everyKindOfTrouble);
        for (int i = 0; i < inProcess.size(); i++) {
            assertEquals(inProcess.get(i), pty.get(i), "seed 6, entry " + i);
        }
    }

    /** Whatever dialect, patterns, marks and shared questions a bench file has, its twin must be able to answer. */
    @ParameterizedTest
    @ValueSource(strings = {"example-loop", "text-loop", "modbus-loop"})
    void theTwinOfAWorkedBenchFileIsReadAndSetLikeTheRealBench(String name) throws Exception {
        Path path = Path.of("hardware-notes/benches", name + ".yaml");
        BenchFile real = BenchFileReader.read(new SourceText(name, Files.readAllBytes(path)))
                .value()
                .orElseThrow();
        BenchFile twin = real.withSimulation(FILE.simulation().orElseThrow());
        VirtualClock clock = Simulations.clock();
        try (SimulatedBench bench = SimulatedBench.create(twin, "A", 1, clock, Transport.IN_PROCESS)) {
            bench.open();
            assertTrue(bench.set(BenchFile.FAN_DUTY, 60.0).done());
            assertTrue(bench.set(BenchFile.PUMP_DUTY, 90.0).done());
            for (int tick = 0; tick < 30; tick++) {
                clock.awaitNanos(tick * 1_000_000_000L, () -> false);
                List<Reading> readings = bench.read(tick).readings();
                for (int i = 0; i < readings.size(); i++) {
                    assertTrue(
                            readings.get(i).good(),
                            twin.columns().get(i).name() + " " + readings.get(i).quality());
                }
                assertEquals(
                        bench.truth().coolantProbeCelsius(),
                        readings.get(twin.indexOf("coolant")).value(),
                        1.0);
                assertEquals(
                        bench.truth().fanRpm(0),
                        readings.get(twin.indexOf("fan-1")).value(),
                        60.0);
            }
        }
    }

    @Test
    void theSameSeedBringsTheSameNight() throws BenchException {
        assertEquals(
                night(Transport.IN_PROCESS, "A", 9, 500, f -> {}), night(Transport.IN_PROCESS, "A", 9, 500, f -> {}));
        assertNotEquals(
                night(Transport.IN_PROCESS, "A", 9, 20, f -> {}), night(Transport.IN_PROCESS, "A", 10, 20, f -> {}));
    }

    @Test
    void troubleDoesNotTouchTheTruthUnlessItIsTheBenchsOwn() throws BenchException {
        List<Object> sound = night(Transport.IN_PROCESS, "A", 9, 200, f -> {});
        List<Object> troubled = night(Transport.IN_PROCESS, "A", 9, 200, SimulatedBenchTest::everyKindOfTrouble);
        for (int tick = 0; tick < 200; tick++) {
            assertEquals(doubles(sound).get(tick), doubles(troubled).get(tick), "tick " + tick);
        }
        assertNotEquals(sound, troubled);
    }

    private static List<Object> doubles(List<Object> night) {
        return night.stream().filter(Double.class::isInstance).toList();
    }

    @Test
    void readingsAreGoodAndRoundedToTheirRecordedText() throws BenchException {
        List<Object> night = night(Transport.IN_PROCESS, "A", 3, 30, f -> {});
        List<Reading> readings = night.stream()
                .filter(Sweep.class::isInstance)
                .map(s -> ((Sweep) s).readings())
                .reduce((first, last) -> last)
                .orElseThrow();
        assertEquals(15, readings.size());
        for (Reading reading : readings) {
            assertEquals(Quality.GOOD, reading.quality());
            assertEquals(Double.parseDouble(reading.text()), reading.value());
        }
        assertEquals("45.50", readings.get(FILE.indexOf(BenchFile.FAN_DUTY)).text());
    }

    @Test
    void aLostLineComesBackByItsIdentityWithItsOutputsReset() throws BenchException {
        VirtualClock clock = Simulations.clock();
        List<Sweep.DeviceEvent> events = new ArrayList<>();
        try (SimulatedBench bench = SimulatedBench.create(FILE, "A", 1, clock, NEAREST)) {
            bench.faults().add(new Fault(Kind.HANG_UP, "controller", 10_000, 15_000));
            bench.faults().add(new Fault(Kind.RESET_OUTPUTS, "controller", 14_000, 15_000));
            bench.open();
            for (int tick = 0; tick < 30; tick++) {
                clock.awaitNanos(tick * 1_000_000_000L, () -> false);
                Sweep sweep = bench.read(tick);
                clock.spend(sweep.busyNanos());
                events.addAll(sweep.events());
                if (tick == 1) {
                    assertTrue(bench.set(BenchFile.FAN_DUTY, 40.0).done());
                }
                if (tick == 12) {
                    assertEquals(Quality.GONE, sweep.readings().get(0).quality());
                    assertEquals(40.0, bench.truth().fanDutyPercent());
                }
            }
            assertEquals(100.0, bench.truth().fanDutyPercent());
        }
        assertEquals(
                List.of(Sweep.DeviceEvent.Kind.GONE, Sweep.DeviceEvent.Kind.BACK),
                events.stream().map(Sweep.DeviceEvent::kind).toList(),
                events.toString());
    }

    @Test
    void makingSafeEndsTheHeatAndBringsFansAndPumpToFullSpeed() throws BenchException {
        VirtualClock clock = Simulations.clock();
        try (SimulatedBench bench = SimulatedBench.create(FILE, "A", 1, clock, NEAREST)) {
            bench.open();
            bench.read(0);
            bench.set(BenchFile.FAN_DUTY, 30.0);
            assertTrue(bench.heatOn(new HeatDemand.Workload("compile", 1)).done());
            assertEquals(List.of(new LoadEvent(LoadEvent.Kind.STARTED, "run 1")), bench.loadEvents());
            List<SetResult> results = bench.makeSafe(false);
            assertEquals(
                    List.of("heat", BenchFile.FAN_DUTY, BenchFile.PUMP_DUTY),
                    results.stream().map(SetResult::target).toList());
            assertTrue(results.stream().allMatch(SetResult::done), results.toString());
            assertFalse(bench.truth().heated());
            assertEquals(100.0, bench.truth().fanDutyPercent());
            assertFalse(bench.heatOn(new HeatDemand.Workload("compile", 1)).done());
        }
    }

    @Test
    void aLeakStopsThePump() throws BenchException {
        VirtualClock clock = Simulations.clock();
        try (SimulatedBench bench = SimulatedBench.create(FILE, "A", 1, clock, Transport.IN_PROCESS)) {
            bench.open();
            bench.makeSafe(true);
            assertEquals(0.0, bench.truth().pumpDutyPercent());
            clock.awaitNanos(9_000_000_000L, () -> false);
            bench.read(9);
            assertEquals(0.0, bench.truth().pumpRpm(), 0.1);
        }
    }

    @Test
    void aSupplyIsSetOverItsLineAndFailsWithIt() throws BenchException {
        VirtualClock clock = Simulations.clock();
        try (SimulatedBench bench = SimulatedBench.create(FILE, "A", 1, clock, NEAREST)) {
            bench.faults().add(new Fault(Kind.SILENT, "controller", 5_000, 12_000));
            bench.open();
            bench.read(0);
            assertEquals("150.00 W", bench.heatOn(new HeatDemand.Power(150.0)).readback());
            clock.awaitNanos(4_000_000_000L, () -> false);
            bench.read(4);
            assertEquals(150.0, bench.truth().sourceWatts());
            clock.awaitNanos(6_000_000_000L, () -> false);
            bench.read(6);
            SetResult off = bench.heatOff();
            assertFalse(off.done(), off.toString());
            assertTrue(bench.truth().heated());
            clock.awaitNanos(15_000_000_000L, () -> false);
            bench.read(15);
            assertFalse(bench.truth().heated(), "the supply takes the heat away itself after 10 s of silence");
        }
    }
}
