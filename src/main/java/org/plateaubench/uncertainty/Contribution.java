package org.plateaubench.uncertainty;

/**
 * One line of an uncertainty budget.
 *
 * @param name what it comes from, such as "coolant probe, calibration"
 * @param standardUncertainty standard uncertainty of the input, in the input's unit; 0 or more
 * @param degreesOfFreedom how well that is known; above 0, may be infinite
 * @param sensitivity by how much the result changes for one unit of the input
 * @param shared true if the input errs alike in two results of one bench whose corrections did not change, so that in
 *     their difference it counts with the difference of its two sensitivities, which is often none
 * @param excessKurtosis shape of its distribution: 0 for a normal one, -1.2 for limits
 */
public record Contribution(
        String name,
        double standardUncertainty,
        double degreesOfFreedom,
        double sensitivity,
        boolean shared,
        double excessKurtosis) {

    private static final double KURTOSIS_OF_LIMITS = -1.2;

    /**
     * Checks the line.
     *
     * @throws IllegalArgumentException if the name is blank or a number is out of its range or NaN
     */
    public Contribution {
        if (name.isBlank()) {
            throw new IllegalArgumentException("a contribution needs a name");
        }
        if (!Double.isFinite(standardUncertainty) || standardUncertainty < 0.0) {
            throw new IllegalArgumentException("the standard uncertainty of \"" + name
                    + "\" must be finite and 0 or more, found " + standardUncertainty);
        }
        if (!(degreesOfFreedom > 0.0)) {
            throw new IllegalArgumentException(
                    "the degrees of freedom of \"" + name + "\" must be above 0, found " + degreesOfFreedom);
        }
        if (!Double.isFinite(sensitivity)) {
            throw new IllegalArgumentException(
                    "the sensitivity to \"" + name + "\" must be finite, found " + sensitivity);
        }
    }

    /**
     * A contribution with a normal distribution.
     *
     * @param name what it comes from
     * @param standardUncertainty standard uncertainty of the input, in the input's unit; 0 or more
     * @param degreesOfFreedom how well that is known; above 0, may be infinite
     * @param sensitivity by how much the result changes for one unit of the input
     * @param shared true if the input errs alike in two results of one bench
     */
    public Contribution(
            String name, double standardUncertainty, double degreesOfFreedom, double sensitivity, boolean shared) {
        this(name, standardUncertainty, degreesOfFreedom, sensitivity, shared, 0.0);
    }

    /**
     * A contribution that stays in differences, well known, in the unit of the result.
     *
     * @param name what it comes from
     * @param standardUncertainty in the result's unit; 0 or more
     * @return the line, with infinite degrees of freedom and a sensitivity of 1
     */
    public static Contribution of(String name, double standardUncertainty) {
        return new Contribution(name, standardUncertainty, Double.POSITIVE_INFINITY, 1.0, false);
    }

    /**
     * A contribution of which only limits are known, as {@link #of}: {@code u = a/sqrt(3)} (GUM 4.3.7).
     *
     * @param name what it comes from
     * @param halfWidth half the distance of the limits, in the result's unit; 0 or more
     * @return the line
     */
    public static Contribution rectangular(String name, double halfWidth) {
        return of(name, halfWidth / StrictMath.sqrt(3.0)).ofLimits();
    }

    /** {@return the same line, marked as that of an input that errs alike in two results of one bench} */
    public Contribution asShared() {
        return new Contribution(name, standardUncertainty, degreesOfFreedom, sensitivity, true, excessKurtosis);
    }

    /** {@return the same line for an input of which only limits are known} */
    public Contribution ofLimits() {
        return new Contribution(name, standardUncertainty, degreesOfFreedom, sensitivity, shared, KURTOSIS_OF_LIMITS);
    }

    /** The same line with another name. */
    Contribution named(String other) {
        return new Contribution(other, standardUncertainty, degreesOfFreedom, sensitivity, shared, excessKurtosis);
    }

    /** The same line with another sensitivity. */
    Contribution withSensitivity(double other) {
        return new Contribution(name, standardUncertainty, degreesOfFreedom, other, shared, excessKurtosis);
    }

    /** What it adds to the result, as JCGM 101 assigns it: limits, few degrees of freedom, or a normal distribution. */
    Distribution distribution() {
        if (excessKurtosis == KURTOSIS_OF_LIMITS) {
            return new Distribution.Rectangular(0.0, inResult() * StrictMath.sqrt(3.0));
        }
        return Double.isInfinite(degreesOfFreedom)
                ? new Distribution.Normal(0.0, inResult())
                : new Distribution.StudentT(0.0, inResult(), degreesOfFreedom);
    }

    /** {@return what it contributes to the result's standard uncertainty, in the result's unit} */
    public double inResult() {
        return StrictMath.abs(sensitivity) * standardUncertainty;
    }
}
