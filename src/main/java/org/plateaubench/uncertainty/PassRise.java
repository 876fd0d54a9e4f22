package org.plateaubench.uncertainty;

/**
 * What one pass of a step found.
 *
 * @param riseKelvin mean rise over the dwell, corrected to nominal power and speed, K
 * @param floorKelvin standard uncertainty of that mean from within the dwell (long-run variance), K; 0 or more. The
 *     spread between passes already holds it, so it is a floor and not added
 * @param settlingKelvin what the fitted remaining rise adds, K; its sign is known, so it is a correction
 * @param settlingUncertaintyKelvin standard uncertainty of that correction, K, half of it as a rule; 0 or more
 */
public record PassRise(double riseKelvin, double floorKelvin, double settlingKelvin, double settlingUncertaintyKelvin) {

    /**
     * Checks the numbers.
     *
     * @throws IllegalArgumentException if one is not finite, or an uncertainty is negative
     */
    public PassRise {
        if (!Double.isFinite(riseKelvin) || !Double.isFinite(settlingKelvin)) {
            throw new IllegalArgumentException("the rise of a pass and its correction must be finite, found "
                    + riseKelvin + " K and " + settlingKelvin + " K");
        }
        if (!(floorKelvin >= 0.0 && settlingUncertaintyKelvin >= 0.0)
                || Double.isInfinite(floorKelvin + settlingUncertaintyKelvin)) {
            throw new IllegalArgumentException("the uncertainties of a pass must be finite and 0 K or more, found "
                    + floorKelvin + " K and " + settlingUncertaintyKelvin + " K");
        }
    }

    /**
     * {@return uncertainty of the settling correction with the sign of the correction: passes err by the same share of it,
     * while the scatter of corrections about each other is in the spread between passes}
     */
    double signedSettlingUncertaintyKelvin() {
        return settlingKelvin < 0.0 ? -settlingUncertaintyKelvin : settlingUncertaintyKelvin;
    }

    /**
     * The same pass with all its numbers times a factor, as at another heat flow.
     *
     * @param factor above 0
     * @return the scaled pass
     */
    public PassRise scaled(double factor) {
        return new PassRise(
                riseKelvin * factor, floorKelvin * factor, settlingKelvin * factor, settlingUncertaintyKelvin * factor);
    }

    /** {@return the rise that the pass would have ended at, K} */
    public double settledKelvin() {
        return riseKelvin + settlingKelvin;
    }
}
