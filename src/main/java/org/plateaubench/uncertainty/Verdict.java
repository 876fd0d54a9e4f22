package org.plateaubench.uncertainty;

/**
 * What an interval of a difference allows to say. They are asked in this order, and the first that holds is given: a shown
 * difference is never hidden behind an equivalence, since the interval that is printed with it shows how small it is.
 */
public enum Verdict {
    /** The whole interval lies below 0: the first is cooler by d ± U. */
    COOLER,
    /** The whole interval lies above 0: the first is warmer by d ± U. */
    WARMER,
    /** The whole interval lies within ±δ. */
    EQUIVALENT,
    /** None of these. It does not mean that the two are equal. */
    NOT_SHOWN_TO_DIFFER;

    /**
     * Judges an interval.
     *
     * @param difference d, first less second
     * @param halfWidth U; NaN where no interval can be given
     * @param equivalentWithin δ; 0 where no equivalence is asked for
     * @return the verdict
     */
    static Verdict of(double difference, double halfWidth, double equivalentWithin) {
        if (difference + halfWidth < 0.0) {
            return COOLER;
        }
        if (difference - halfWidth > 0.0) {
            return WARMER;
        }
        return StrictMath.abs(difference) + halfWidth < equivalentWithin ? EQUIVALENT : NOT_SHOWN_TO_DIFFER;
    }
}
