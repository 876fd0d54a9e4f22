package org.plateaubench.acoustics;

/**
 * A total level read directly above a background, and what may be said of the fans' own level.
 *
 * @param totalDb total level, dB
 * @param backgroundDb background level at that time, dB
 * @param gapClass what the gap allows
 */
public record Reading(double totalDb, double backgroundDb, GapClass gapClass) {

    /** What the gap between total and background allows to say. */
    public enum GapClass {
        /** Above 15 dB: the total is the own level; nothing is corrected (ISO 3744). */
        UNCORRECTED,
        /** 6 to 15 dB: corrected, engineering grade (ISO 3744). */
        CORRECTED,
        /** 3 to 6 dB: corrected, survey grade (ISO 3746). */
        SURVEY,
        /** Below 3 dB: an upper bound, corrected as at 3 dB (ISO 3746). */
        UPPER_BOUND
    }

    /** Binary numbers blur a gap of two decimal ones; so many steps a decibel are kept, that limits stay sharp. */
    private static final double STEPS = 1e6;

    /**
     * Classes a reading.
     *
     * @param totalDb total level, finite, dB
     * @param backgroundDb background level, finite, dB
     * @return the reading
     * @throws IllegalArgumentException if a level is not finite
     */
    public static Reading of(double totalDb, double backgroundDb) {
        double gap = gap(totalDb, backgroundDb);
        if (!Double.isFinite(totalDb - backgroundDb)) {
            throw new IllegalArgumentException(
                    "levels must be finite, found " + totalDb + " dB over " + backgroundDb + " dB");
        }
        GapClass gapClass = GapClass.UPPER_BOUND;
        if (gap > BackgroundRule.ISO_3744.largestGapDb()) {
            gapClass = GapClass.UNCORRECTED;
        } else if (gap >= BackgroundRule.ISO_3744.smallestGapDb()) {
            gapClass = GapClass.CORRECTED;
        } else if (gap >= BackgroundRule.ISO_3746.smallestGapDb()) {
            gapClass = GapClass.SURVEY;
        }
        return new Reading(totalDb, backgroundDb, gapClass);
    }

    private static double gap(double totalDb, double backgroundDb) {
        return StrictMath.rint((totalDb - backgroundDb) * STEPS) / STEPS;
    }

    /** {@return total less background, dB} */
    public double gapDb() {
        return gap(totalDb, backgroundDb);
    }

    /** {@return the correction of the reading's class, 0 or more, dB} */
    public double correctionDb() {
        return switch (gapClass) {
            case UNCORRECTED -> 0.0;
            case CORRECTED -> BackgroundRule.ISO_3744.correctionDb(gapDb());
            case SURVEY, UPPER_BOUND -> BackgroundRule.ISO_3746.correctionDb(gapDb());
        };
    }

    /** {@return own level by that correction, dB; in the class of upper bounds the own level is at most this} */
    public double ownLevelDb() {
        return totalDb - correctionDb();
    }

    /** {@return by how much an error of the total is larger in the own level; infinite without a gap} */
    public double errorMultiplier() {
        return Levels.errorMultiplier(gapDb());
    }
}
