package org.plateaubench.uncertainty;

import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.distribution.RealDistribution;
import org.apache.commons.math3.distribution.TDistribution;

/** Student's t distribution; with infinitely many degrees of freedom it is the normal one. */
public final class Student {

    /** From here on the difference from the normal distribution is below 1e-6 of a factor. */
    private static final double AS_GOOD_AS_NORMAL = 1e7;

    /** Absolute accuracy of a factor. */
    private static final double ACCURACY = 1e-12;

    private Student() {}

    /**
     * The factor t for which a t-distributed value lies within ±t with the given probability (GUM, table G.2).
     *
     * @param probability above 0, below 1; for example 0.95
     * @param degreesOfFreedom above 0, not necessarily whole, may be infinite
     * @return the factor; 2.093 for 0.95 and 19
     * @throws IllegalArgumentException if a number is out of its range or NaN
     */
    public static double factor(double probability, double degreesOfFreedom) {
        if (!(probability > 0.0 && probability < 1.0)) {
            throw new IllegalArgumentException(
                    "a coverage probability must be above 0 and below 1, found " + probability);
        }
        return distribution(degreesOfFreedom).inverseCumulativeProbability(0.5 + probability / 2.0);
    }

    /**
     * The probability that a t-distributed value lies farther from 0 than the one found.
     *
     * @param t the value found
     * @param degreesOfFreedom above 0, may be infinite
     * @return two-sided p
     * @throws IllegalArgumentException if the degrees of freedom are not above 0
     */
    public static double twoSided(double t, double degreesOfFreedom) {
        return 2.0 * distribution(degreesOfFreedom).cumulativeProbability(-StrictMath.abs(t));
    }

    private static RealDistribution distribution(double degreesOfFreedom) {
        if (!(degreesOfFreedom > 0.0)) {
            throw new IllegalArgumentException("degrees of freedom must be above 0, found " + degreesOfFreedom);
        }
        return degreesOfFreedom >= AS_GOOD_AS_NORMAL
                ? new NormalDistribution(null, 0.0, 1.0, ACCURACY)
                : new TDistribution(null, degreesOfFreedom, ACCURACY);
    }
}
