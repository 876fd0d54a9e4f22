package org.plateaubench.uncertainty;

import java.util.Arrays;

/**
 * Test for a drift that makes no assumption about its shape or the distribution of the values (Mann 1945, Kendall 1975),
 * and the median slope (Sen 1968). The values must not be correlated with each other.
 *
 * @param count how many values
 * @param s later values that are higher than an earlier one, less those that are lower
 * @param variance of s if there is no drift, ties allowed for
 * @param tauB rank correlation with time, ties allowed for; NaN where all values are alike
 * @param twoSided probability of an s as far from 0 if there is no drift: exact for up to ten values without ties, else by
 *     the normal distribution with continuity correction
 * @param senSlope median of the slopes of all pairs, a value a step
 */
public record MannKendall(int count, long s, double variance, double tauB, double twoSided, double senSlope) {

    private static final int MOST_EXACT = 10;

    /**
     * Tests evenly spaced values.
     *
     * @param values at least three, finite, in order of time; not kept
     * @return the test
     * @throws IllegalArgumentException if there are fewer than three values or one is not finite
     */
    public static MannKendall of(double[] values) {
        int n = values.length;
        if (n < 3) {
            throw new IllegalArgumentException("a test for drift needs at least three values, found " + n);
        }
        Series.mean(values); // refuses what is not finite
        double[] slopes = new double[n * (n - 1) / 2];
        long s = 0;
        int pair = 0;
        for (int i = 0; i < n; i++) {
            for (int j = i + 1; j < n; j++) {
                s += (long) StrictMath.signum(values[j] - values[i]);
                slopes[pair++] = (values[j] - values[i]) / (j - i);
            }
        }
        double variance = n * (n - 1.0) * (2.0 * n + 5.0);
        double tiedPairs = 0.0;
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        for (int from = 0; from < n; ) {
            int to = from;
            while (to < n && sorted[to] == sorted[from]) {
                to++;
            }
            double ties = to - from;
            variance -= ties * (ties - 1.0) * (2.0 * ties + 5.0);
            tiedPairs += ties * (ties - 1.0) / 2.0;
            from = to;
        }
        variance /= 18.0;
        double tauB = s / StrictMath.sqrt((slopes.length - tiedPairs) * slopes.length);
        double twoSided = n <= MOST_EXACT && tiedPairs == 0.0
                ? exact(n, s)
                : Student.twoSided(z(s, variance), Double.POSITIVE_INFINITY);
        return new MannKendall(n, s, variance, tauB, twoSided, median(slopes));
    }

    /** {@return s as a standard normal value, with continuity correction; 0 where s is 0} */
    public double z() {
        return z(s, variance);
    }

    private static double z(long s, double variance) {
        return s == 0 ? 0.0 : (s - StrictMath.signum((double) s)) / StrictMath.sqrt(variance);
    }

    /** Counts the orders of n different values by their number of inversions; s = pairs - 2 inversions. */
    private static double exact(int n, long s) {
        int pairs = n * (n - 1) / 2;
        double[] orders = new double[pairs + 1];
        orders[0] = 1.0;
        double all = 1.0;
        for (int size = 2; size <= n; size++) {
            double[] more = new double[pairs + 1];
            for (int inversions = 0; inversions <= pairs; inversions++) {
                for (int added = 0; added < size && added <= inversions; added++) {
                    more[inversions] += orders[inversions - added];
                }
            }
            orders = more;
            all *= size;
        }
        double asFar = 0.0;
        for (int inversions = 0; inversions <= pairs; inversions++) {
            if (StrictMath.abs(pairs - 2L * inversions) >= StrictMath.abs(s)) {
                asFar += orders[inversions];
            }
        }
        return asFar / all;
    }

    private static double median(double[] values) {
        Arrays.sort(values);
        int middle = values.length / 2;
        return values.length % 2 == 1 ? values[middle] : 0.5 * (values[middle - 1] + values[middle]);
    }
}
