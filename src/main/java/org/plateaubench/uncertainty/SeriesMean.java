package org.plateaubench.uncertainty;

/**
 * The mean of a series whose values are correlated, and how well it is known: batch means give the long-run variance, of
 * which the scatter of neighbouring values says too little (Law, Simulation Modeling and Analysis, chapter 9).
 *
 * @param mean the mean of all values
 * @param standardError standard uncertainty of the mean; NaN for fewer than two batches
 * @param degreesOfFreedom number of batches less one
 * @param effectiveCount how many independent values would give the same standard error; NaN where that is NaN
 */
public record SeriesMean(double mean, double standardError, int degreesOfFreedom, double effectiveCount) {

    /**
     * Works on a series of evenly spaced values. What does not fill a batch at the end counts in the mean, not in the
     * standard error.
     *
     * @param values at least one, finite, in order of time; not kept
     * @param batchLength values a batch, 1 or more; long against the time over which values are alike, and a minute or
     *     more for temperatures
     * @param resolution step of the display, 0 or more; where the scatter is below half of it, the mean is not taken to
     *     be better than the step over the square root of 12
     * @return the mean
     * @throws IllegalArgumentException if there is no value, one is not finite, or a number is out of its range
     */
    public static SeriesMean of(double[] values, int batchLength, double resolution) {
        if (batchLength < 1) {
            throw new IllegalArgumentException("a batch holds at least one value, found " + batchLength);
        }
        if (!(resolution >= 0.0)) {
            throw new IllegalArgumentException("a resolution must be 0 or more, found " + resolution);
        }
        Series series = Series.of(values);
        int batches = values.length / batchLength;
        if (batches < 2) {
            return new SeriesMean(series.mean(), Double.NaN, 0, Double.NaN);
        }
        double[] means = new double[batches];
        for (int b = 0; b < batches; b++) {
            double sum = 0.0;
            for (int i = 0; i < batchLength; i++) {
                sum += values[b * batchLength + i] - series.mean();
            }
            means[b] = sum / batchLength;
        }
        double error = Series.of(means).standardDeviation() * StrictMath.sqrt((double) batchLength / values.length);
        double deviation = series.standardDeviation();
        if (deviation < resolution / 2.0) {
            error = StrictMath.max(error, resolution / StrictMath.sqrt(12.0));
        }
        double ratio = deviation / error;
        return new SeriesMean(series.mean(), error, batches - 1, ratio * ratio);
    }
}
