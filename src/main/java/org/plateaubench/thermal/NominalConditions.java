package org.plateaubench.thermal;

/**
 * The power and speed that a step is meant to have. A pass that ran a little beside them is corrected before passes are
 * averaged: the rise is proportional to the power, and near the nominal speed it goes with a power of the speed.
 *
 * @param heatFlowWatts nominal heat flow, W; above 0
 * @param speedRpm nominal speed, rpm; above 0
 * @param speedExponent exponent of the rise over the speed; between -1 (all resistance goes with the air flow) and 0
 *     (none does); radiators show -0.6 to -1
 */
public record NominalConditions(double heatFlowWatts, double speedRpm, double speedExponent) {

    /**
     * Checks the conditions.
     *
     * @throws IllegalArgumentException if a number is out of its range or NaN
     */
    public NominalConditions {
        if (!(heatFlowWatts > 0.0) || !(speedRpm > 0.0)) {
            throw new IllegalArgumentException(
                    "nominal power and speed must be above 0, found " + heatFlowWatts + " W and " + speedRpm + " rpm");
        }
        if (!(speedExponent >= -1.0 && speedExponent <= 0.0)) {
            throw new IllegalArgumentException(
                    "the exponent of the rise over the speed must be between -1 and 0, found " + speedExponent);
        }
    }

    /**
     * The rise as it would have been at nominal power and speed: {@code rise (P0/P) (N0/N)^exponent}.
     *
     * @param riseKelvin measured rise, K
     * @param heatFlowWatts measured heat flow, W; above 0
     * @param speedRpm measured speed, rpm; above 0
     * @return corrected rise, K
     * @throws IllegalArgumentException if power or speed is not above 0
     */
    public double correct(double riseKelvin, double heatFlowWatts, double speedRpm) {
        if (!(heatFlowWatts > 0.0) || !(speedRpm > 0.0)) {
            throw new IllegalArgumentException("a rise is corrected from a power and a speed above 0, found "
                    + heatFlowWatts + " W and " + speedRpm + " rpm");
        }
        return riseKelvin
                * (this.heatFlowWatts / heatFlowWatts)
                * StrictMath.pow(this.speedRpm / speedRpm, speedExponent);
    }
}
