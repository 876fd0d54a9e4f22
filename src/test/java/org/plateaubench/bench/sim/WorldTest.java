package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.plateaubench.bench.sim.Simulations.set;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.clock.VirtualClock;

class WorldTest {

    private static final long SECOND = 1_000_000_000L;

    private final VirtualClock clock = Simulations.clock();
    private final Faults faults = new Faults();

    private World world(BenchFile file) {
        return Simulations.world(file, clock, faults);
    }

    private static SimulatedLoad load(World world, BenchFile file) {
        return new SimulatedLoad(world, file, watts -> {
            throw new AssertionError("no supply was asked for");
        });
    }

    private void tick(World world, long second) {
        clock.awaitNanos(second * SECOND, () -> false);
        world.tick(second);
    }

    private static Map<String, Double> readings(World world, List<ChannelSpec> channels) {
        Map<String, Double> readings = new TreeMap<>();
        channels.forEach(c -> readings.put(c.name(), world.value(c)));
        return readings;
    }

    @Test
    void theOrderOfReadingChangesNothing() {
        BenchFile file = Simulations.shipped();
        List<ChannelSpec> backwards = new ArrayList<>(file.channels());
        Collections.reverse(backwards);
        VirtualClock other = Simulations.clock();
        World one = world(file);
        World two = Simulations.world(file, other, new Faults());
        for (int s = 0; s < 50; s++) {
            tick(one, s);
            other.awaitNanos(s * SECOND, () -> false);
            two.tick(s);
            assertEquals(readings(one, file.channels()), readings(two, backwards), "seed " + Simulations.NIGHT_SEED);
        }
    }

    @Test
    void anotherSeedIsAnotherNightOnTheSameBench() {
        BenchFile file = Simulations.with(
                set(SimulationKey.NOISE, 0.0), set(SimulationKey.RESOLUTION, 0.0), set(SimulationKey.PROBE_LAG, 0.0));
        ChannelSpec coolant = file.channel("coolant").orElseThrow();
        World one = new World(file, "A", 1, 1L, clock, new Faults());
        World two = new World(file, "A", 1, 2L, clock, new Faults());
        assertNotEquals(one.truth().coolantCelsius(), two.truth().coolantCelsius());
        double offset = one.value(coolant) - one.truth().coolantCelsius();
        assertNotEquals(0.0, offset);
        assertEquals(offset, two.value(coolant) - two.truth().coolantCelsius(), 1e-12);
        assertEquals(
                one.truth().fanRpm(0) / one.truth().fanRpm(1),
                two.truth().fanRpm(0) / two.truth().fanRpm(1));
    }

    @Test
    void offsetsAreDrawnFromTheStatedLimits() {
        BenchFile file = Simulations.with(set(SimulationKey.NOISE, 0.0), set(SimulationKey.RESOLUTION, 0.0));
        SimulationSpec spec = file.simulation().orElseThrow();
        double squares = 0.0;
        double most = 0.0;
        int benches = 300;
        for (long seed = 0; seed < benches; seed++) {
            BenchFile other =
                    Simulations.with(file, new SimulationSpec(spec.start(), seed, spec.settings(), spec.sets()));
            World world = new World(other, "A", 1, 1L, clock, new Faults());
            double offset = world.value(other.channel("ambient").orElseThrow())
                    - world.truth().ambientProbeCelsius();
            squares += offset * offset;
            most = Math.max(most, Math.abs(offset));
        }
        assertTrue(most > 0.09 && most <= 0.1, most + " K");
        assertEquals(0.1 / StrictMath.sqrt(3), StrictMath.sqrt(squares / benches), 0.006);
    }

    @Test
    void sensorsThatAreRightReadTheTruth() {
        BenchFile file = Simulations.with(
                set(SimulationKey.SENSOR_OFFSETS, 0.0),
                set(SimulationKey.NOISE, 0.0),
                set(SimulationKey.RESOLUTION, 0.0),
                set(SimulationKey.PROBE_LAG, 0.0));
        World world = world(file);
        tick(world, 500);
        assertEquals(
                world.truth().coolantCelsius(),
                world.value(file.channel("coolant").orElseThrow()));
    }

    @Test
    void aWorkloadEndsAndIsStartedAgainUntilItIsSwitchedOff() {
        BenchFile file = Simulations.with(set(SimulationKey.POWER_SPREAD, 1.0));
        World world = world(file);
        SimulatedLoad load = load(world, file);
        assertTrue(load.on(new HeatDemand.Workload("compile", 2)).done());
        assertEquals(List.of(new LoadEvent(LoadEvent.Kind.STARTED, "run 1")), load.events());
        tick(world, 479);
        assertEquals(List.of(), load.events());
        double first = world.truth().sourceWatts();
        assertEquals(200.0, first, 8.0);
        tick(world, 481);
        assertEquals(
                List.of(
                        new LoadEvent(LoadEvent.Kind.COMPLETED, "run 1"),
                        new LoadEvent(LoadEvent.Kind.STARTED, "run 2")),
                load.events());
        assertNotEquals(first, world.truth().sourceWatts());
        assertTrue(load.off().done());
        tick(world, 2000);
        assertEquals(List.of(), load.events());
        assertEquals(5.0, world.truth().sourceWatts());
    }

    @Test
    void busyProcessorsHeat() {
        BenchFile file = Simulations.shipped();
        World world = world(file);
        SimulatedLoad load = load(world, file);
        assertTrue(load.on(new HeatDemand.Processor(50.0)).done());
        tick(world, 5);
        assertEquals(100.0, world.truth().sourceWatts(), 2.0);
    }

    @Test
    void anUnknownWorkloadIsRefused() {
        BenchFile file = Simulations.shipped();
        var result = load(world(file), file).on(new HeatDemand.Workload("render", 1));
        assertFalse(result.done());
        assertEquals("the bench file has no such workload", result.detail());
    }

    @Test
    void aWorkloadThatFailsIsNotStartedAgain() {
        BenchFile file = Simulations.shipped();
        faults.add(new Fault(Kind.WORKLOAD_FAILS, "", 60_000, 61_000));
        World world = world(file);
        SimulatedLoad load = load(world, file);
        load.on(new HeatDemand.Workload("compile", 1));
        load.events();
        tick(world, 62);
        assertEquals(List.of(new LoadEvent(LoadEvent.Kind.FAILED, "exit status 1")), load.events());
        assertFalse(world.truth().heated());
    }

    @Test
    void heatThatStaysIsReportedAsOff() {
        BenchFile file = Simulations.shipped();
        faults.add(new Fault(Kind.HEAT_STAYS, "", 10_000, 100_000));
        World world = world(file);
        SimulatedLoad load = load(world, file);
        load.on(new HeatDemand.Workload("compile", 1));
        tick(world, 20);
        assertTrue(load.off().done());
        tick(world, 90);
        assertTrue(world.truth().sourceWatts() > 190.0);
        tick(world, 101);
        assertFalse(world.truth().heated());
    }

    @Test
    void faultsOfTheBenchChangeTheTruth() {
        BenchFile file = Simulations.shipped();
        faults.add(new Fault(Kind.PUMP_STOP, "", 10_000, 60_000));
        faults.add(new Fault(Kind.FAN_STALL, "fan-2", 10_000, 60_000));
        faults.add(new Fault(Kind.LEAK, "", 20_000, 60_000));
        World world = world(file);
        tick(world, 50);
        assertEquals(0.0, world.truth().pumpRpm(), 1e-6);
        assertEquals(0.0, world.truth().fanRpm(1));
        assertTrue(world.truth().fanRpm(0) > 1900.0);
        assertTrue(world.truth().leaking());
        assertTrue(world.value(file.channel("leak").orElseThrow()) > 1.0);
        tick(world, 100);
        assertTrue(world.truth().pumpRpm() > 2900.0 && world.truth().fanRpm(1) > 1900.0);
        assertFalse(world.truth().leaking());
    }

    @Test
    void theMeterHearsFansBackgroundAndItsOwnFloor() {
        BenchFile file = Simulations.with(
                set(SimulationKey.LEVEL_FLUCTUATION, 0.0),
                set(SimulationKey.BACKGROUND_WANDER, 0.0),
                set(SimulationKey.BACKGROUND_NIGHT, 0.0),
                set(SimulationKey.GUSTS, 0.0),
                set(SimulationKey.SPREAD, 0.0));
        World world = world(file);
        tick(world, 30);
        double fans = world.truth().fansDb();
        assertEquals(world.truth().ownLevelDb(world.truth().meanFanRpm()), fans, 1e-9);
        double sum = StrictMath.pow(10, fans / 10) + StrictMath.pow(10, 2.6) + StrictMath.pow(10, 1.4);
        assertEquals(
                10 * StrictMath.log10(sum), world.value(file.channel("level").orElseThrow()), 0.0501);
    }

    @Test
    void anUnknownFanSetIsNamedWithThoseThatAreKnown() {
        var refusal = assertThrows(
                IllegalArgumentException.class,
                () -> new World(Simulations.shipped(), "C", 1, 1L, clock, new Faults()));
        assertEquals("the bench file simulates no fan set C, only A, B", refusal.getMessage());
    }

    @Test
    void aBenchFileWithoutSetsTakesAnyWithTheDefaults() {
        SimulationSpec spec = Simulations.shipped().simulation().orElseThrow();
        BenchFile twin =
                Simulations.with(Simulations.shipped(), new SimulationSpec(spec.start(), 1L, List.of(), List.of()));
        World world = new World(twin, "of a real bench", 3, 1L, clock, new Faults());
        assertEquals(2000.0, world.truth().meanFanRpm(), 30.0);
    }
}
