package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.function.ToDoubleFunction;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class MonteCarloTest {

    private static final int MOST = 1_000_000;
    private static final ToDoubleFunction<double[]> SUM = values -> {
        double sum = 0.0;
        for (double v : values) {
            sum += v;
        }
        return sum;
    };

    /** Validation: JCGM 101:2008, 9.2.2: four standard normal inputs, u = 2.0, interval -3.9 to 3.9. */
    @Test
    void aSumOfNormalInputsIsThatOfTheGuide() {
        MonteCarlo sum =
                MonteCarlo.propagate(SUM, Collections.nCopies(4, new Distribution.Normal(0.0, 1.0)), 0.95, 2, 3, MOST);
        assertTrue(sum.stable());
        Printed.assertPrinted("u", "2.0", sum.standardUncertainty());
        assertEquals(0.0, sum.estimate(), sum.tolerance());
        assertEquals(-3.92, sum.low(), sum.tolerance());
        assertEquals(3.92, sum.high(), sum.tolerance());
        assertTrue(sum.confirms(0.0, 2.0 * Student.factor(0.95, Double.POSITIVE_INFINITY), 2));
        print("JCGM 101, 9.2.2", sum);
    }

    /** Validation: JCGM 101:2008, 9.2.3: four rectangular inputs of unit deviation, u = 2.0, interval -3.88 to 3.88. */
    @Test
    void aSumOfRectangularInputsIsNarrowerThanTheNormalOne() {
        MonteCarlo sum = MonteCarlo.propagate(
                SUM, Collections.nCopies(4, new Distribution.Rectangular(0.0, StrictMath.sqrt(3.0))), 0.95, 3, 3, MOST);
        Printed.assertPrinted("u", "2.0", sum.standardUncertainty());
        assertEquals(-3.88, sum.low(), 0.01);
        assertEquals(3.88, sum.high(), 0.01);
        print("JCGM 101, 9.2.3", sum);
    }

    /** Validation: deviations of the distributions, JCGM 101 table 1. */
    @ParameterizedTest
    @CsvSource({"normal, 1.0", "rectangular, 0.57735", "arcsine, 0.70711", "t, 1.11803"})
    void eachDistributionHasItsDeviation(String kind, double deviation) {
        Distribution distribution = switch (kind) {
            case "normal" -> new Distribution.Normal(2.0, 1.0);
            case "rectangular" -> new Distribution.Rectangular(2.0, 1.0);
            case "arcsine" -> new Distribution.Arcsine(2.0, 1.0);
            default -> new Distribution.StudentT(2.0, 1.0, 10);
        };
        MonteCarlo found = MonteCarlo.propagate(v -> v[0], List.of(distribution), 0.95, 2, 9, MOST);
        assertEquals(2.0, found.estimate(), 2.0 * found.tolerance());
        assertEquals(deviation, found.standardUncertainty(), 2.0 * found.tolerance());
    }

    /**
     * The second path for a step's rise: probes, spread of the passes, a settling correction, power. It is confirmed to
     * one digit; a spread of few degrees of freedom is wider as a t distribution than as a standard uncertainty.
     */
    @Test
    void aStepByTheLawOfPropagationIsConfirmed() {
        double rise = 10.0;
        double power = 200.0;
        Budget budget = new Budget(List.of(
                new Contribution("spread between passes", 0.05, 12, 1.0, false),
                Contribution.of("coolant probe", 0.05),
                Contribution.rectangular("ambient probe", 0.06),
                Contribution.of("settling correction", 0.03),
                new Contribution("power", 0.4, Double.POSITIVE_INFINITY, rise / power, false)));
        MonteCarlo second = MonteCarlo.propagate(
                v -> (v[0] + v[1] - v[2] + v[3]) * v[4] / power,
                List.of(
                        new Distribution.StudentT(rise - 0.06, 0.05, 12),
                        new Distribution.Normal(0.0, 0.05),
                        new Distribution.Rectangular(0.0, 0.06),
                        new Distribution.Normal(0.06, 0.03),
                        new Distribution.Normal(power, 0.4)),
                0.95,
                2,
                17,
                MOST);
        print("a step's rise (GUM: U " + budget.expanded(0.95) + ")", second);
        assertTrue(second.confirms(rise, budget.expanded(0.95), 1), "seed 17: U = " + budget.expanded(0.95));
    }

    /**
     * The two paths of what a step's budget looks like: GUM and JCGM 101 agree within the numerical tolerance, unless a
     * spread of few degrees of freedom is much of it: a t distribution of three or four has more in its tails than effective
     * degrees of freedom tell, and that must be said.
     */
    @ParameterizedTest
    @CsvSource({
        "0.01, 2, 0.10, true",
        "0.015, 4, 0.10, true",
        "0.03, 4, 0.10, false",
        "0.05, 8, 0.10, true",
        "0.02, 3, 0.02, false",
        "0.15, 12, 0.10, true"
    })
    void aBudgetIsConfirmedByPropagation(double spread, double freedom, double limits, boolean confirmed) {
        Budget budget = new Budget(List.of(
                new Contribution(StepEstimate.SPREAD, spread, freedom, 1.0, false),
                Contribution.of(StepEstimate.SETTLING, 0.01),
                Contribution.rectangular("coolant probe", limits),
                Contribution.rectangular("ambient probe", limits)));
        MonteCarlo second = budget.propagated(0.95);
        print(
                "spread " + spread + " K with " + freedom + ", probes ±" + limits + " K (GUM: U "
                        + budget.expanded(0.95) + ")",
                second);
        assertEquals(confirmed, second.confirms(0.0, budget.expanded(0.95), 1), "U = " + budget.expanded(0.95));
        assertEquals(second, budget.propagated(0.95));
    }

    /** A thermal resistance whose power is badly known is not symmetric, and the second path must say so. */
    @Test
    void aSkewedResultIsNotConfirmed() {
        double relative = 0.2;
        MonteCarlo skewed = MonteCarlo.propagate(
                v -> 10.0 / v[0], List.of(new Distribution.Normal(200.0, 200.0 * relative)), 0.95, 2, 17, MOST);
        assertFalse(skewed.confirms(0.05, 1.96 * 0.05 * relative, 2));
    }

    @Test
    void theSameSeedGivesTheSameFigures() {
        List<Distribution> inputs = List.of(new Distribution.Normal(1.0, 0.1), new Distribution.Arcsine(0.0, 0.2));
        MonteCarlo first = MonteCarlo.propagate(SUM, inputs, 0.95, 1, 42, MOST);
        assertEquals(first, MonteCarlo.propagate(SUM, inputs, 0.95, 1, 42, MOST));
        // Regression: the same on every Java version
        assertEquals(FIRST_FIGURES, first);
    }

    private static final MonteCarlo FIRST_FIGURES = new MonteCarlo(
            20_000, 1.0005512183911167, 0.17365024447628105, 0.6809338606893501, 1.317437964117064, 0.05, true);

    @Test
    void anEndIsReachedWithoutStability() {
        MonteCarlo shortRun =
                MonteCarlo.propagate(v -> v[0], List.of(new Distribution.Normal(0.0, 1.0)), 0.95, 4, 1, 30_000);
        assertFalse(shortRun.stable());
        assertEquals(30_000, shortRun.trials());
    }

    /** Validation: JCGM 101, 7.9.2, examples 1 and 2: 0.00035 g gives 0.000005 g, 2 K gives 0.5 K. */
    @ParameterizedTest
    @CsvSource({"0.00035, 2, 0.000005", "2, 1, 0.5", "0.0996, 2, 0.005", "0.1234, 2, 0.005", "0, 2, 0"})
    void theToleranceIsHalfTheLastMeaningfulDigit(double u, int digits, double tolerance) {
        assertEquals(tolerance, MonteCarlo.tolerance(u, digits), 1e-18);
    }

    @Test
    void refusesWhatCannotBePropagated() {
        assertThrows(IllegalArgumentException.class, () -> MonteCarlo.propagate(SUM, List.of(), 0.95, 2, 1, MOST));
        assertThrows(IllegalArgumentException.class, () -> new Distribution.Normal(0.0, -1.0));
        assertThrows(IllegalArgumentException.class, () -> new Distribution.StudentT(0.0, 1.0, 0.0));
    }

    private static void print(String what, MonteCarlo m) {
        System.out.printf(
                Locale.ROOT,
                "%s: %d trials, y %.4f, u %.4f, interval %.4f to %.4f, tolerance %.3g%n",
                what,
                m.trials(),
                m.estimate(),
                m.standardUncertainty(),
                m.low(),
                m.high(),
                m.tolerance());
    }
}
