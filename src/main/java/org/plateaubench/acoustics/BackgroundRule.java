package org.plateaubench.acoustics;

/**
 * How a standard corrects a reading for the background, {@code K1 = -10 lg(1 - 10^(-gap/10))}, and within which gaps. At
 * the limits themselves the correction is applied.
 */
public enum BackgroundRule {
    /** ISO 3744:2010, 8.2.3, engineering grade. */
    ISO_3744(6.0, 15.0),
    /** ISO 3746:2010, survey grade. */
    ISO_3746(3.0, 10.0);

    private final double smallestGapDb;
    private final double largestGapDb;

    BackgroundRule(double smallestGapDb, double largestGapDb) {
        this.smallestGapDb = smallestGapDb;
        this.largestGapDb = largestGapDb;
    }

    /** {@return gap below which the result is an upper bound only, dB} */
    public double smallestGapDb() {
        return smallestGapDb;
    }

    /** {@return gap above which nothing is corrected, dB} */
    public double largestGapDb() {
        return largestGapDb;
    }

    /**
     * The correction that the standard applies.
     *
     * @param gapDb total less background, dB
     * @return K1, dB: 0 above the largest gap, that of the smallest gap below it
     */
    public double correctionDb(double gapDb) {
        if (gapDb > largestGapDb) {
            return 0.0;
        }
        return Levels.levelDb(Levels.errorMultiplier(StrictMath.max(gapDb, smallestGapDb)));
    }
}
