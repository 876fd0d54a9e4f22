package org.plateaubench.uncertainty;

/**
 * A difference of means and Student's t test of it.
 *
 * @param difference first mean less second mean
 * @param standardError its standard uncertainty; above 0
 * @param degreesOfFreedom of the standard error
 */
public record MeanTest(double difference, double standardError, double degreesOfFreedom) {

    /**
     * Two samples whose spreads may differ (Welch 1947).
     *
     * @param first at least two values
     * @param second at least two values
     * @return the test
     */
    public static MeanTest welch(double[] first, double[] second) {
        Series a = atLeastTwo(first);
        Series b = atLeastTwo(second);
        double va = variance(a) / a.count();
        double vb = variance(b) / b.count();
        double v = va + vb;
        return new MeanTest(
                a.mean() - b.mean(),
                StrictMath.sqrt(v),
                v * v / (va * va / (a.count() - 1) + vb * vb / (b.count() - 1)));
    }

    /**
     * Two samples of one spread.
     *
     * @param first at least two values
     * @param second at least two values
     * @return the test
     */
    public static MeanTest pooled(double[] first, double[] second) {
        Series a = atLeastTwo(first);
        Series b = atLeastTwo(second);
        int freedom = a.count() + b.count() - 2;
        double pooled = ((a.count() - 1) * variance(a) + (b.count() - 1) * variance(b)) / freedom;
        return new MeanTest(
                a.mean() - b.mean(), StrictMath.sqrt(pooled * (1.0 / a.count() + 1.0 / b.count())), freedom);
    }

    /**
     * Values that belong together in pairs.
     *
     * @param first at least two values
     * @param second as many
     * @return the test
     */
    public static MeanTest paired(double[] first, double[] second) {
        if (first.length != second.length) {
            throw new IllegalArgumentException(
                    "pairs need as many first as second values, found " + first.length + " and " + second.length);
        }
        double[] differences = new double[first.length];
        for (int i = 0; i < first.length; i++) {
            differences[i] = first[i] - second[i];
        }
        Series d = atLeastTwo(differences);
        return new MeanTest(d.mean(), d.standardDeviation() / StrictMath.sqrt(d.count()), d.count() - 1);
    }

    private static Series atLeastTwo(double[] values) {
        if (values.length < 2) {
            throw new IllegalArgumentException("a t test needs at least two values a sample, found " + values.length);
        }
        return Series.of(values);
    }

    private static double variance(Series series) {
        return series.standardDeviation() * series.standardDeviation();
    }

    /** {@return Student's t; infinite or NaN where no value differs from its mean} */
    public double t() {
        return difference / standardError;
    }

    /** {@return the probability of a t as large as this or larger, either sign, if the means are equal} */
    public double twoSided() {
        return Student.twoSided(t(), degreesOfFreedom);
    }

    /**
     * Half the width of the interval of the difference.
     *
     * @param probability above 0, below 1
     * @return half-width, in the values' unit
     */
    public double halfWidth(double probability) {
        return Student.factor(probability, degreesOfFreedom) * standardError;
    }
}
