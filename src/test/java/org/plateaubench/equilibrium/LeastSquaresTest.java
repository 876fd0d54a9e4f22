package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;

class LeastSquaresTest {

    private static double[] filled(int n, double value) {
        double[] a = new double[n];
        Arrays.fill(a, value);
        return a;
    }

    @Test
    void aWeightCountsLikeRepeatedObservations() {
        double[][] once = {{1, 0}, {1, 1}, {1, 2}};
        double[][] repeated = {{1, 0}, {1, 1}, {1, 1}, {1, 1}, {1, 2}};
        LeastSquaresFit weighted = LeastSquares.linear(once, new double[] {1, 5, 2}, new double[] {1, 3, 1})
                .orElseThrow();
        LeastSquaresFit plain = LeastSquares.linear(repeated, new double[] {1, 5, 5, 5, 2}, filled(5, 1.0))
                .orElseThrow();
        assertEquals(plain.parameter(0), weighted.parameter(0), 1e-14);
        assertEquals(plain.parameter(1), weighted.parameter(1), 1e-14);
        assertEquals(plain.residualSumOfSquares(), weighted.residualSumOfSquares(), 1e-13);
    }

    @Test
    void columnsThatDependOnEachOtherHaveNoFit() {
        double[][] rows = {{1, 2, 4}, {1, 3, 6}, {1, 5, 10}, {1, 7, 14}};
        assertEquals(Optional.empty(), LeastSquares.linear(rows, new double[] {1, 2, 3, 4}, filled(4, 1.0)));
    }

    @Test
    void aModelWithoutAMinimumHasNoFit() {
        // exp(-p x) comes ever nearer to data that are all below zero the larger p is
        LeastSquares.Model model = (p, gradients) -> {
            double[] predicted = new double[5];
            for (int i = 0; i < 5; i++) {
                predicted[i] = StrictMath.exp(-p[0] * (i + 1));
                gradients[i][0] = -(i + 1) * predicted[i];
            }
            return predicted;
        };
        assertEquals(
                Optional.empty(), LeastSquares.nonlinear(model, filled(5, -1.0), filled(5, 1.0), new double[] {0.5}));
    }

    @Test
    void standardErrorsAreThoseSeenOverManyRepetitions() {
        long seed = 21;
        Random random = new Random(seed);
        int repetitions = 1_000;
        double[] slopes = new double[repetitions];
        double stated = 0.0;
        double[][] rows = new double[30][];
        for (int i = 0; i < 30; i++) {
            rows[i] = new double[] {1.0, i};
        }
        for (int r = 0; r < repetitions; r++) {
            double[] y = Simulated.noise(random, 30, 0.5, 0.0);
            LeastSquaresFit fit = LeastSquares.linear(rows, y, filled(30, 1.0)).orElseThrow();
            slopes[r] = fit.parameter(1);
            stated += fit.covariance(1, 1) / repetitions;
        }
        // the spread of 1,000 values is known to 1/sqrt(2,000) = 2.2 %; four times that
        assertEquals(1.0, Series.standardDeviation(slopes) / StrictMath.sqrt(stated), 0.09, "seed " + seed);
    }

    @Test
    void correlatedResidualsEnlargeTheErrors() {
        long seed = 22;
        Random random = new Random(seed);
        double[][] rows = new double[4_000][];
        for (int i = 0; i < rows.length; i++) {
            rows[i] = new double[] {1.0, i};
        }
        double[] weights = filled(rows.length, 1.0);
        double correlated = LeastSquares.linear(rows, Simulated.noise(random, rows.length, 1.0, 0.6), weights)
                .orElseThrow()
                .correlationFactor();
        double white = LeastSquares.linear(rows, Simulated.noise(random, rows.length, 1.0, 0.0), weights)
                .orElseThrow()
                .correlationFactor();
        assertEquals(2.0, correlated, 0.15, "seed " + seed); // sqrt(1.6/0.4)
        assertTrue(white >= 1.0 && white < 1.1, "seed " + seed);
    }

    @Test
    void refusesShapesThatDoNotFit() {
        double[][] rows = {{1, 0}, {1, 1}};
        assertThrows(
                IllegalArgumentException.class, () -> LeastSquares.linear(rows, new double[] {1, 2}, new double[] {1}));
        assertThrows(
                IllegalArgumentException.class,
                () -> LeastSquares.linear(new double[][] {{1, 0}}, new double[] {1}, new double[] {1}));
        assertThrows(
                IllegalArgumentException.class,
                () -> LeastSquares.linear(new double[0][], new double[0], new double[0]));
    }
}
