package org.plateaubench.equilibrium;

/** Plain statistics of a series of numbers, by two passes so that a large mean costs no digits. */
public final class Series {

    private Series() {}

    /**
     * Arithmetic mean.
     *
     * @param values the series, at least one number
     * @return the mean
     */
    public static double mean(double[] values) {
        double sum = 0.0;
        for (double v : values) {
            sum += v;
        }
        double mean = sum / values.length;
        double rest = 0.0;
        for (double v : values) {
            rest += v - mean;
        }
        return mean + rest / values.length;
    }

    /**
     * Standard deviation with one degree of freedom fewer than values.
     *
     * @param values the series
     * @return the standard deviation; NaN for fewer than two numbers
     */
    public static double standardDeviation(double[] values) {
        return StrictMath.sqrt(products(values, mean(values), 0) / (values.length - 1));
    }

    /**
     * Autocorrelation coefficient at lag 1: the sum of products of neighbouring deviations from the mean over the sum of
     * squared deviations.
     *
     * @param values the series
     * @return the coefficient, -1 to 1; NaN where all numbers are alike
     */
    public static double lag1Autocorrelation(double[] values) {
        double mean = mean(values);
        return products(values, mean, 1) / products(values, mean, 0);
    }

    private static double products(double[] values, double mean, int lag) {
        double sum = 0.0;
        for (int i = lag; i < values.length; i++) {
            sum += (values[i] - mean) * (values[i - lag] - mean);
        }
        return sum;
    }
}
