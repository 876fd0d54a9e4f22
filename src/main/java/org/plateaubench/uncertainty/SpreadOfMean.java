package org.plateaubench.uncertainty;

/**
 * How uncertain the spread between passes makes a mean, or several means together.
 *
 * @param knownVariance what was known beforehand, K²
 * @param pooledVariance what was found by pooling, K²
 * @param passFreedom passes less steps, of the pooled spread; 0 where no step was repeated
 */
record SpreadOfMean(double knownVariance, double pooledVariance, int passFreedom) {

    private static final double KNOWN_COUNTS = 0.6;
    private static final String SCATTER = "scatter of the readings";

    double variance() {
        return knownVariance + pooledVariance;
    }

    /** This and another mean, added or subtracted. */
    SpreadOfMean and(SpreadOfMean other) {
        return new SpreadOfMean(
                knownVariance + other.knownVariance, pooledVariance + other.pooledVariance, passFreedom);
    }

    /** The same for a mean multiplied by a factor. */
    SpreadOfMean times(double factor) {
        return new SpreadOfMean(knownVariance * factor * factor, pooledVariance * factor * factor, passFreedom);
    }

    /** A line of a budget; without any repetition it has what is known by the readings, and is called so. */
    Contribution line() {
        double share = variance() == 0.0 ? 1.0 : knownVariance / variance();
        double freedom =
                passFreedom == 0 ? Double.POSITIVE_INFINITY : passFreedom / (1.0 - KNOWN_COUNTS * share * share);
        String name = passFreedom == 0 ? SCATTER : StepEstimate.SPREAD;
        return new Contribution(name, StrictMath.sqrt(variance()), freedom, 1.0, false);
    }
}
