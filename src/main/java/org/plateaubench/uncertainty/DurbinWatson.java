package org.plateaubench.uncertainty;

/** The Durbin-Watson statistic of residuals (1950): near 2 where neighbours are not correlated, below where they are. */
public final class DurbinWatson {

    private DurbinWatson() {}

    /**
     * Works out the statistic.
     *
     * @param residuals at least two, finite, in order of time
     * @return sum of squared differences of neighbours over the sum of squares, 0 to 4; NaN where all are 0
     * @throws IllegalArgumentException if there are fewer than two residuals
     */
    public static double of(double[] residuals) {
        if (residuals.length < 2) {
            throw new IllegalArgumentException("the statistic needs at least two residuals, found " + residuals.length);
        }
        double differences = 0.0;
        double squares = residuals[0] * residuals[0];
        for (int i = 1; i < residuals.length; i++) {
            double d = residuals[i] - residuals[i - 1];
            differences += d * d;
            squares += residuals[i] * residuals[i];
        }
        return differences / squares;
    }
}
