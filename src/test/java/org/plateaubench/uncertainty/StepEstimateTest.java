package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class StepEstimateTest {

    static StepPasses step(String name, double floor, double... rises) {
        List<PassRise> passes = new ArrayList<>();
        for (double rise : rises) {
            passes.add(new PassRise(rise, floor, 0.0, 0.0));
        }
        return new StepPasses(name, passes, List.of());
    }

    /** Two steps of two passes: variances 0.02 at 10 K and 0.005 at 5 K are both 1.414 % of the rise. */
    @Test
    void spreadThatGoesWithTheRiseIsPooled() {
        List<StepPasses> steps = List.of(step("700 rpm", 0.0, 9.9, 10.1), step("1900 rpm", 0.0, 4.95, 5.05));
        PooledSpread spread = PooledSpread.of(steps, 0.0);
        assertEquals(StrictMath.sqrt(2e-4), spread.relative(), 1e-12);
        assertEquals(2, spread.degreesOfFreedom());
        StepEstimate slow = StepEstimate.of(steps, 0.0).get(0);
        assertEquals(10.0, slow.riseKelvin(), 1e-12);
        assertEquals(StrictMath.sqrt(0.02), slow.ownSpreadKelvin(), 1e-12);
        assertEquals(StrictMath.sqrt(0.02), slow.pooledSpreadKelvin(), 1e-12);
        assertEquals(0.1, slow.repeatability().standardUncertainty(), 1e-12);
        assertEquals(4.302653, slow.coverageFactor(0.95), 1e-6); // t95 of two degrees of freedom
        assertEquals(0.4302653, slow.expandedKelvin(0.95), 1e-7);
    }

    @Test
    void theFloorCountsOnlyWhereItIsLarger() {
        List<StepPasses> close = List.of(step("700 rpm", 0.1, 10.0, 10.001));
        StepEstimate held = StepEstimate.of(close, 0.0).get(0);
        assertEquals(0.1 / StrictMath.sqrt(2.0), held.repeatability().standardUncertainty(), 1e-12);
        List<StepPasses> apart = List.of(step("700 rpm", 0.1, 10.0, 10.4));
        StepEstimate spread = StepEstimate.of(apart, 0.0).get(0);
        assertEquals(0.2, spread.repeatability().standardUncertainty(), 1e-9);
        // one degree of freedom from the passes, and a little from what is known, an eighth of the variance
        assertEquals(1.0 / (1.0 - 0.6 / 64.0), spread.repeatability().degreesOfFreedom(), 1e-9);
        assertEquals(2.5, held.repeatability().degreesOfFreedom(), 1e-9);
    }

    @Test
    void aKnownSpreadCountsLikeAFloor() {
        StepEstimate known = StepEstimate.of(List.of(step("700 rpm", 0.0, 10.0, 10.001)), 0.15)
                .get(0);
        assertEquals(0.15, known.pooledSpreadKelvin(), 1e-12);
    }

    @Test
    void theSettlingCorrectionMovesTheRiseAndDoesNotAverageOut() {
        StepPasses step = new StepPasses(
                "700 rpm",
                List.of(new PassRise(9.9, 0.0, 0.1, 0.05), new PassRise(9.95, 0.0, 0.1, 0.05)),
                List.of(new Contribution("coolant probe", 0.03, 50, 1.0, true)));
        StepEstimate estimate = StepEstimate.of(List.of(step), 0.0).get(0);
        assertEquals(10.025, estimate.riseKelvin(), 1e-12);
        assertEquals(0.025, estimate.repeatability().standardUncertainty(), 1e-12);
        assertEquals(
                StrictMath.sqrt(0.025 * 0.025 + 0.05 * 0.05 + 0.03 * 0.03),
                estimate.full().standardUncertainty(),
                1e-12);
    }

    @Test
    void withoutRepetitionThereIsNoInterval() {
        StepEstimate once =
                StepEstimate.of(List.of(step("700 rpm", 0.02, 10.0)), 0.0).get(0);
        assertEquals(10.0, once.riseKelvin());
        assertFalse(once.complete());
        assertTrue(Double.isNaN(once.expandedKelvin(0.95)));
        assertTrue(Double.isNaN(once.repeatabilityKelvin(0.95)));
        assertTrue(Double.isNaN(once.pooledSpreadKelvin()));
    }

    /** Coverage of the intervals, for a spread that goes with the rise and for one that does not but is known. */
    @ParameterizedTest
    @CsvSource({"0.00, 0.012, 2", "0.05, 0.005, 2", "0.05, 0.010, 2", "0.10, 0.000, 2", "0.00, 0.012, 3"})
    void intervalsHoldTheTruth(double known, double relative, int repeats) {
        long seed = 21;
        SplitMix64 random = new SplitMix64(seed);
        double[] truth = {13.0, 9.5, 7.0};
        int nights = Integer.getInteger("campaign.nights", 400);
        int[] held = new int[truth.length];
        for (int night = 0; night < nights; night++) {
            List<StepPasses> steps = new ArrayList<>();
            for (double rise : truth) {
                double deviation = StrictMath.sqrt(known * known + relative * relative * rise * rise);
                double[] rises = new double[repeats];
                for (int i = 0; i < repeats; i++) {
                    rises[i] = rise + deviation * random.nextGaussian();
                }
                steps.add(step(rise + " K", 0.0, rises));
            }
            List<StepEstimate> estimates = StepEstimate.of(steps, known);
            for (int s = 0; s < truth.length; s++) {
                double error = StrictMath.abs(estimates.get(s).riseKelvin() - truth[s]);
                held[s] += error <= estimates.get(s).repeatabilityKelvin(0.95) ? 1 : 0;
            }
        }
        for (int s = 0; s < truth.length; s++) {
            Proportion coverage = Proportion.of(held[s], nights, 0.95);
            System.out.printf(
                    Locale.ROOT,
                    "a0 %.2f K, c %.3f, %d passes, rise %4.1f K: coverage %.3f (%.3f to %.3f)%n",
                    known,
                    relative,
                    repeats,
                    truth[s],
                    coverage.fraction(),
                    coverage.low(),
                    coverage.high());
            assertTrue(coverage.high() >= 0.93 && coverage.low() <= 0.99, "seed " + seed);
        }
    }

    /**
     * Coverage of the full uncertainty with offsets drawn from what is stated of them: a coolant probe (normal), an ambient
     * probe (limits), a settling correction that is wrong by a normal share of itself.
     */
    @Test
    void fullIntervalsHoldTheTruthWithOffsetsDrawn() {
        long seed = 22;
        SplitMix64 random = new SplitMix64(seed);
        double[] truth = {13.0, 7.0};
        int nights = Integer.getInteger("campaign.nights", 400);
        int[] held = new int[truth.length];
        List<Contribution> systematic = List.of(
                Contribution.of("coolant probe", 0.05).asShared(),
                Contribution.rectangular("ambient probe", 0.10).asShared());
        for (int night = 0; night < nights; night++) {
            double offset = 0.05 * random.nextGaussian() + 0.10 * (2.0 * random.nextDouble() - 1.0);
            double settling = 0.08 + 0.04 * random.nextGaussian();
            List<StepPasses> steps = new ArrayList<>();
            for (double rise : truth) {
                List<PassRise> passes = new ArrayList<>();
                for (int i = 0; i < 2; i++) {
                    double found = rise + offset - settling + 0.008 * rise * random.nextGaussian();
                    passes.add(new PassRise(found, 0.02, 0.08, 0.04));
                }
                steps.add(new StepPasses(rise + " K", passes, systematic));
            }
            List<StepEstimate> estimates = StepEstimate.of(steps, 0.0);
            for (int s = 0; s < truth.length; s++) {
                double error = StrictMath.abs(estimates.get(s).riseKelvin() - truth[s]);
                held[s] += error <= estimates.get(s).expandedKelvin(0.95) ? 1 : 0;
            }
        }
        for (int s = 0; s < truth.length; s++) {
            Proportion coverage = Proportion.of(held[s], nights, 0.95);
            System.out.printf(
                    Locale.ROOT,
                    "full uncertainty, offsets drawn, rise %4.1f K: coverage %.3f (%.3f to %.3f)%n",
                    truth[s],
                    coverage.fraction(),
                    coverage.low(),
                    coverage.high());
            assertTrue(coverage.high() >= 0.93 && coverage.low() <= 0.98, "seed " + seed);
        }
    }

    @Test
    void refusesWhatIsNoStep() {
        assertThrows(IllegalArgumentException.class, () -> step("700 rpm", 0.0));
        assertThrows(IllegalArgumentException.class, () -> step("700 rpm", -0.1, 10.0));
        assertThrows(IllegalArgumentException.class, () -> step("700 rpm", 0.0, Double.NaN));
        Contribution probe = Contribution.of("probe", 0.1);
        assertThrows(
                IllegalArgumentException.class,
                () -> new StepPasses("700 rpm", step("", 0.0, 1.0).passes(), List.of(probe, probe)));
        assertThrows(
                IllegalArgumentException.class, () -> PooledSpread.of(List.of(step("700 rpm", 0.0, 10.0)), Double.NaN));
    }

    /** Twice the passes: spread smaller by the root of two, degrees of freedom from 2 (two steps of two) to 6. */
    @Test
    void moreRepeatsLessenOnlyTheSpread() {
        Contribution probe = Contribution.of("probe", 0.05);
        Budget now = new Budget(List.of(new Contribution(StepEstimate.SPREAD, 0.02, 2.0, 1.0, false), probe));
        Budget twice = StepEstimate.withMoreRepeats(now, 2, 4);
        assertEquals(0.02 / StrictMath.sqrt(2.0), twice.contributions().get(0).inResult(), 1e-15);
        assertEquals(6.0, twice.contributions().get(0).degreesOfFreedom(), 1e-12);
        assertEquals(probe, twice.contributions().get(1));
        assertThrows(IllegalArgumentException.class, () -> StepEstimate.withMoreRepeats(now, 1, 2));
    }
}
