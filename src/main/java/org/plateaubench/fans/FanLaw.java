package org.plateaubench.fans;

/**
 * The fan laws: how flow, pressure and shaft power of geometrically alike fans go with speed, diameter and air density at
 * the same point of rating (ANSI/AMCA 201).
 */
public enum FanLaw {
    /** Volume flow. */
    FLOW(1, 3, 0),
    /** Static, velocity or total pressure. */
    PRESSURE(2, 2, 1),
    /** Shaft power. */
    POWER(3, 5, 1);

    private final int speedExponent;
    private final int diameterExponent;
    private final int densityExponent;

    FanLaw(int speedExponent, int diameterExponent, int densityExponent) {
        this.speedExponent = speedExponent;
        this.diameterExponent = diameterExponent;
        this.densityExponent = densityExponent;
    }

    /**
     * By how much the quantity changes.
     *
     * @param speedRatio new speed over old; 0 or more
     * @param diameterRatio new diameter over old; above 0
     * @param densityRatio new air density over old; above 0
     * @return new value over old
     * @throws IllegalArgumentException if a ratio is out of its range or NaN
     */
    public double ratio(double speedRatio, double diameterRatio, double densityRatio) {
        checkRatios(speedRatio >= 0.0, speedRatio, diameterRatio, densityRatio);
        return StrictMath.pow(speedRatio, speedExponent)
                * StrictMath.pow(diameterRatio, diameterExponent)
                * StrictMath.pow(densityRatio, densityExponent);
    }

    /**
     * By how much the speed of one fan must change to change the quantity.
     *
     * @param valueRatio new value over old; 0 or more
     * @return new speed over old
     * @throws IllegalArgumentException if the ratio is negative or NaN
     */
    public double speedRatio(double valueRatio) {
        if (!(valueRatio >= 0.0)) {
            throw new IllegalArgumentException("a ratio must be 0 or more, found " + valueRatio);
        }
        return StrictMath.pow(valueRatio, 1.0 / speedExponent);
    }

    /**
     * Change of the sound power level, {@code 50 lg(N2/N1) + 70 lg(D2/D1) + 20 lg(rho2/rho1)} (ANSI/AMCA 301).
     *
     * @param speedRatio new speed over old; above 0
     * @param diameterRatio new diameter over old; above 0
     * @param densityRatio new air density over old; above 0
     * @return change of level, dB
     * @throws IllegalArgumentException if a ratio is not above 0
     */
    public static double soundPowerLevelChangeDb(double speedRatio, double diameterRatio, double densityRatio) {
        checkRatios(speedRatio > 0.0, speedRatio, diameterRatio, densityRatio);
        return 50.0 * StrictMath.log10(speedRatio)
                + 70.0 * StrictMath.log10(diameterRatio)
                + 20.0 * StrictMath.log10(densityRatio);
    }

    private static void checkRatios(
            boolean speedInRange, double speedRatio, double diameterRatio, double densityRatio) {
        if (!speedInRange || !(diameterRatio > 0.0) || !(densityRatio > 0.0)) {
            throw new IllegalArgumentException("ratios of speed, diameter and density must be above 0, found "
                    + speedRatio + ", " + diameterRatio + ", " + densityRatio);
        }
    }
}
