package org.plateaubench.uncertainty;

import java.util.Arrays;
import java.util.List;

/**
 * Coverage factors for several intervals that shall all hold at once: the largest magnitude of several correlated t
 * values (max-t). It is narrower than dividing the error probability by the number of intervals (Bonferroni), most of all
 * where the values are correlated, as a mean over steps is with each step.
 *
 * <p>The largest magnitude of the normal values is drawn {@value #DRAWS} times with a fixed seed; the common standard
 * deviation that divides them is integrated over. The probability that all hold is so met within 0.005.
 */
final class SimultaneousFactor {

    private static final int DRAWS = 10_000;
    private static final long SEED = 20261124L;
    private static final double AS_GOOD_AS_NORMAL = 1e7;

    /** Exponent of the probability outside the range of integration: 2e-16. */
    private static final double TAIL = 36.0;

    private static final int NODES = 128;
    private static final int HALVINGS = 30;

    private final int intervals;
    private final double[] largest;

    /**
     * Draws.
     *
     * @param weights for each interval the weights with which independent standard normal values make up its estimate; at
     *     least one interval, all of one length; their scale does not matter. An interval of zero weights has no width
     *     whatever its factor, and is passed over
     */
    SimultaneousFactor(List<double[]> weights) {
        intervals = weights.size();
        double[][] unit =
                weights.stream().map(SimultaneousFactor::toUnitVariance).toArray(double[][]::new);
        largest = new double[intervals == 1 ? 0 : DRAWS];
        SplitMix64 random = new SplitMix64(SEED);
        double[] z = new double[unit[0].length];
        for (int draw = 0; draw < largest.length; draw++) {
            for (int i = 0; i < z.length; i++) {
                z[i] = random.nextGaussian();
            }
            for (double[] row : unit) {
                double value = 0.0;
                for (int i = 0; i < z.length; i++) {
                    value += row[i] * z[i];
                }
                largest[draw] = StrictMath.max(largest[draw], StrictMath.abs(value));
            }
        }
        Arrays.sort(largest);
    }

    private static double[] toUnitVariance(double[] weights) {
        double length = StrictMath.sqrt(Arrays.stream(weights).map(w -> w * w).sum());
        return length == 0.0
                ? weights
                : Arrays.stream(weights).map(w -> w / length).toArray();
    }

    /**
     * The factor.
     *
     * @param probability that all intervals hold; above 0, below 1
     * @param degreesOfFreedom of the standard uncertainty that it multiplies; above 0, may be infinite
     * @return the factor; for one interval that of Student's t
     * @throws IllegalArgumentException if a number is out of its range or NaN
     */
    double of(double probability, double degreesOfFreedom) {
        double low = Student.factor(probability, degreesOfFreedom);
        if (intervals == 1) {
            return low;
        }
        double[] deviations = {1.0};
        double[] shares = {1.0};
        if (degreesOfFreedom < AS_GOOD_AS_NORMAL) {
            deviations = deviations(degreesOfFreedom);
            shares = shares(deviations, degreesOfFreedom);
        }
        double high = Student.factor(1.0 - (1.0 - probability) / intervals, degreesOfFreedom);
        for (int i = 0; i < HALVINGS; i++) {
            double middle = 0.5 * (low + high);
            double holding = 0.0;
            for (int k = 0; k < shares.length; k++) {
                holding += shares[k] * below(middle * deviations[k]);
            }
            if (holding < probability) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return high;
    }

    /** Evenly spaced values of the common deviation s (chi over root nu), over all that matters of its distribution. */
    private static double[] deviations(double nu) {
        double from = StrictMath.sqrt(StrictMath.max(0.0, 1.0 - 2.0 * StrictMath.sqrt(TAIL / nu)));
        double to = StrictMath.sqrt(1.0 + 2.0 * StrictMath.sqrt(TAIL / nu) + 2.0 * TAIL / nu);
        double[] s = new double[NODES];
        for (int k = 0; k < NODES; k++) {
            s[k] = from + (to - from) * (k + 0.5) / NODES;
        }
        return s;
    }

    /** The probability that each of them stands for, proportional to {@code s^(nu-1) exp(-nu s²/2)}. */
    private static double[] shares(double[] s, double nu) {
        double[] shares = new double[s.length];
        double sum = 0.0;
        for (int k = 0; k < s.length; k++) {
            shares[k] = StrictMath.exp((nu - 1.0) * StrictMath.log(s[k]) - nu * (s[k] * s[k] - 1.0) / 2.0);
            sum += shares[k];
        }
        for (int k = 0; k < s.length; k++) {
            shares[k] /= sum;
        }
        return shares;
    }

    /** Share of the draws whose largest magnitude stays below a value. */
    private double below(double value) {
        int place = Arrays.binarySearch(largest, value);
        return (place < 0 ? -place - 1 : place) / (double) largest.length;
    }
}
