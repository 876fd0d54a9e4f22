package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.plateaubench.Wants;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.Sweep;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.problem.SourceText;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;

class StandaloneSimulatorTest {

    private static BenchFile read(String yaml) {
        return Simulations.read(new SourceText("standalone.yaml", yaml.getBytes(StandardCharsets.UTF_8)));
    }

    @Test
    void aRealBenchReachesItWithTheBenchFileThatItWrites() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        VirtualClock clock = Simulations.clock();
        try (StandaloneSimulator simulator = StandaloneSimulator.start(Simulations.shipped(), "A", 1, clock)) {
            BenchFile file = read(simulator.benchFile());
            assertTrue(file.simulation().isEmpty());
            assertEquals(
                    List.of("controller", "meter"),
                    simulator.ports().stream()
                            .map(StandaloneSimulator.Port::device)
                            .toList());
            try (Bench bench = Benches.real(file, () -> Path.of("unused"), c -> {
                throw new AssertionError("no computer in this bench");
            })) {
                bench.open();
                Sweep sweep = bench.read(0);
                List<String> bad = new ArrayList<>();
                for (int i = 0; i < file.columns().size(); i++) {
                    Reading reading = sweep.readings().get(i);
                    if (reading.quality() != Quality.GOOD) {
                        bad.add(file.columns().get(i).name() + " " + reading);
                    }
                }
                assertEquals(List.of(), bad);
                assertTrue(bench.set(BenchFile.FAN_DUTY, 50.0).done());
                assertTrue(bench.heatOn(new HeatDemand.Power(120.0)).done());
                clock.awaitNanos(5_000_000_000L, () -> false);
                bench.read(5);
                assertEquals(120.0, simulator.truth().sourceWatts());
                assertEquals(50.0, simulator.truth().fanDutyPercent());
                assertTrue(bench.makeSafe(false).stream().allMatch(r -> r.done()));
            }
        }
    }

    @Test
    void theBenchFileKeepsWhatTheSimulatedOneSays() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        BenchFile shipped = Simulations.shipped();
        try (StandaloneSimulator simulator = StandaloneSimulator.start(shipped, "A", 1, new SystemClock())) {
            BenchFile file = read(simulator.benchFile());
            assertEquals(shipped.groups(), file.groups());
            assertEquals(shipped.actuators(), file.actuators());
            assertEquals(shipped.supply(), file.supply());
            assertEquals(shipped.limits(), file.limits());
            assertEquals(shipped.commissioning(), file.commissioning());
            assertEquals(shipped.configuration(), file.configuration());
            var before = shipped.channel("level").orElseThrow();
            var after = file.channel("level").orElseThrow();
            assertEquals(before.level(), after.level());
            assertEquals(before.source().toString(), after.source().toString());
            assertEquals(
                    shipped.channel("coolant").orElseThrow().valid(),
                    file.channel("coolant").orElseThrow().valid());
        }
    }
}
