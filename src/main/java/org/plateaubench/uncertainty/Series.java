package org.plateaubench.uncertainty;

/**
 * Mean, spread and lag-1 autocorrelation of a series, in two passes so that a large mean costs no digits.
 *
 * @param count how many values
 * @param mean their mean
 * @param standardDeviation with count - 1 in the denominator; NaN for a single value
 * @param lagOneCorrelation sum of products of neighbouring deviations over the sum of squares; NaN where all values are
 *     alike
 */
public record Series(int count, double mean, double standardDeviation, double lagOneCorrelation) {

    /**
     * Works on a series.
     *
     * @param values at least one, finite, in order of time; not kept
     * @return its figures
     * @throws IllegalArgumentException if there is no value or one is not finite
     */
    public static Series of(double[] values) {
        if (values.length == 0) {
            throw new IllegalArgumentException("a mean needs at least one value");
        }
        double mean = mean(values);
        double squares = 0.0;
        double products = 0.0;
        double rest = 0.0;
        for (int i = 0; i < values.length; i++) {
            double d = values[i] - mean;
            squares += d * d;
            rest += d;
            if (i > 0) {
                products += d * (values[i - 1] - mean);
            }
        }
        squares -= rest * rest / values.length;
        return new Series(
                values.length,
                mean,
                values.length < 2 ? Double.NaN : StrictMath.sqrt(squares / (values.length - 1)),
                products / squares);
    }

    /** The mean, its rounding error taken off in a second pass. */
    static double mean(double[] values) {
        double sum = 0.0;
        for (double v : values) {
            if (!Double.isFinite(v)) {
                throw new IllegalArgumentException("a series must be finite, found " + v + "; leave a bad value out");
            }
            sum += v;
        }
        double first = sum / values.length;
        double rest = 0.0;
        for (double v : values) {
            rest += v - first;
        }
        return first + rest / values.length;
    }
}
