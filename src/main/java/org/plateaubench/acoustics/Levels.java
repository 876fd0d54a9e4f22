package org.plateaubench.acoustics;

import java.util.Arrays;

/** Arithmetic of levels, which add as energies: {@code 10^(L/10)}. */
public final class Levels {

    private Levels() {}

    /**
     * Sum of levels of independent sources.
     *
     * @param levelsDb at least one, dB
     * @return 63.01 dB for two levels of 60 dB
     */
    public static double sumDb(double... levelsDb) {
        return meanDb(levelsDb) + 10.0 * StrictMath.log10(levelsDb.length);
    }

    /**
     * Mean of levels as energies: the equivalent level of blocks of equal length.
     *
     * @param levelsDb at least one, finite, dB
     * @return the mean, dB
     * @throws IllegalArgumentException if there is no level or one is not finite
     */
    public static double meanDb(double... levelsDb) {
        double highest = Arrays.stream(levelsDb).max().orElseThrow(() -> new IllegalArgumentException("no level"));
        double sum = 0.0;
        for (double level : levelsDb) {
            if (!Double.isFinite(level)) {
                throw new IllegalArgumentException("a level must be finite, found " + level + " dB");
            }
            sum += energy(level - highest);
        }
        return highest + 10.0 * StrictMath.log10(sum / levelsDb.length);
    }

    /**
     * Percentile level: exceeded during a share of the time. L90 is the quiet of a place, L10 its peaks.
     *
     * @param levelsDb blocks of equal length, at least one, dB
     * @param percent share of the time, 0 to 100, per cent
     * @return the level, dB, straight between neighbouring blocks
     * @throws IllegalArgumentException if there is no level or the share is out of its range
     */
    public static double exceededDb(double[] levelsDb, double percent) {
        if (levelsDb.length == 0 || !(percent >= 0.0 && percent <= 100.0)) {
            throw new IllegalArgumentException("a percentile level needs a level and a share of 0 to 100 %, found "
                    + levelsDb.length + " levels and " + percent + " %");
        }
        double[] sorted = levelsDb.clone();
        Arrays.sort(sorted);
        double place = (1.0 - percent / 100.0) * (sorted.length - 1);
        int below = (int) place;
        int above = StrictMath.min(below + 1, sorted.length - 1);
        return sorted[below] + (place - below) * (sorted[above] - sorted[below]);
    }

    /**
     * What the background leaves of a total, without any limit of validity.
     *
     * @param totalDb total level, dB
     * @param backgroundDb background level, dB
     * @return own level, {@code 10 lg(10^(L/10) - 10^(B/10))}, dB; NaN where the total is not above the background
     */
    public static double ownDb(double totalDb, double backgroundDb) {
        double gap = totalDb - backgroundDb;
        return gap > 0.0 ? backgroundDb + 10.0 * StrictMath.log10(StrictMath.expm1(gap * NATURAL)) : Double.NaN;
    }

    /**
     * By how much an error of a total level is larger in the own level, {@code 1/(1 - 10^(-gap/10))}.
     *
     * @param gapDb total less background, dB; above 0
     * @return 1.11, 1.33, 2.0 at 10, 6, 3 dB; above 10 below half a decibel; infinite at 0 or below
     */
    public static double errorMultiplier(double gapDb) {
        return gapDb > 0.0 ? -1.0 / StrictMath.expm1(-gapDb * NATURAL) : Double.POSITIVE_INFINITY;
    }

    /** Natural logarithm of an energy ratio, a decibel. */
    static final double NATURAL = StrictMath.log(10.0) / 10.0;

    static double energy(double levelDb) {
        return StrictMath.exp(levelDb * NATURAL);
    }

    static double levelDb(double energy) {
        return 10.0 * StrictMath.log10(energy);
    }
}
