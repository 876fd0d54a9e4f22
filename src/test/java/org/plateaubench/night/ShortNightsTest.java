package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.stream.IntStream;
import org.apache.commons.math3.stat.descriptive.DescriptiveStatistics;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.StepResult;

/**
 * Many seeded short nights against the simulator's truth. CI runs a few; all of them: {@code mvn test
 * -Dtest=ShortNightsTest -Dplateau.nights=200}. The table is printed; thresholds here only catch gross errors.
 */
class ShortNightsTest {

    private static final int NIGHTS = Integer.getInteger("plateau.nights", 16);
    private static final double WATTS = 200.0;

    private record Outcome(long seed, NightResults results, List<Double> truth) {}

    @Test
    void theRiseOfEveryStepAgreesWithTheSimulatorsTruth() {
        NightFiles files = NightFixture.files("short-night.yaml");
        List<Outcome> outcomes = IntStream.rangeClosed(1, NIGHTS)
                .parallel()
                .mapToObj(seed -> night(files, seed))
                .toList();
        System.out.printf(
                Locale.ROOT,
                "%n%d short nights, seeds 1 to %d: coolant rise of each step against the simulator's truth%n",
                NIGHTS,
                NIGHTS);
        System.out.printf(
                "%-10s %8s %9s %9s %12s %10s%n", "step", "truth K", "bias K", "spread K", "median U95 K", "coverage");
        for (int step = 0; step < 2; step++) {
            DescriptiveStatistics errors = new DescriptiveStatistics();
            DescriptiveStatistics truths = new DescriptiveStatistics();
            DescriptiveStatistics intervals = new DescriptiveStatistics();
            int covered = 0;
            for (Outcome o : outcomes) {
                StepResult result = o.results().steps().get(step);
                assertEquals(
                        2,
                        result.passes(),
                        "seed " + o.seed() + ": " + o.results().reason());
                double error = result.coolantRiseKelvin() - o.truth().get(step);
                assertTrue(Math.abs(error) < 1.0, "seed " + o.seed() + ", " + result);
                errors.addValue(error);
                truths.addValue(o.truth().get(step));
                intervals.addValue(result.expandedKelvin());
                covered += Math.abs(error) <= result.expandedKelvin() ? 1 : 0;
            }
            System.out.printf(
                    Locale.ROOT,
                    "%-10s %8.3f %9.4f %9.4f %12.4f %9.1f%%%n",
                    outcomes.get(0).results().steps().get(step).step(),
                    truths.getMean(),
                    errors.getMean(),
                    errors.getStandardDeviation(),
                    intervals.getPercentile(50),
                    100.0 * covered / NIGHTS);
            assertTrue(Math.abs(errors.getMean()) < 0.2, "mean error " + errors.getMean());
        }
    }

    private static Outcome night(NightFiles files, long seed) {
        VirtualClock clock = NightFixture.clock(files);
        SimulatedBench bench = NightFixture.bench(files, seed, clock, Transport.IN_PROCESS);
        List<Double> truth = new ArrayList<>(List.of(
                bench.truth().steadyRiseKelvin(800, WATTS), bench.truth().steadyRiseKelvin(1500, WATTS)));
        try {
            return new Outcome(
                    seed,
                    Rehearsal.of(files, NightFixture.start(files), bench, clock).results(),
                    truth);
        } catch (IOException e) {
            throw new IllegalStateException("seed " + seed, e);
        }
    }
}
