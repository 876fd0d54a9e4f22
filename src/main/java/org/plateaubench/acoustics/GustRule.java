package org.plateaubench.acoustics;

/**
 * Which blocks of a listen count, fixed before it is listened: a block well above the median of its listen, and its
 * neighbours, are rejected. Gusts, steps, a car. The blocks stay in the record.
 *
 * @param riseDb how far above the median a block is rejected, dB; above 0
 * @param guardBlocks how many blocks on either side of it go with it; 0 or more
 * @param mostRejectedPercent share of rejected blocks above which the whole listen is worth nothing, 0 to 100, per cent
 */
public record GustRule(double riseDb, int guardBlocks, double mostRejectedPercent) {

    /** Two decibels, two blocks on either side, at most half of the listen: for blocks of a second. */
    public static final GustRule USUAL = new GustRule(2.0, 2, 50.0);

    /**
     * Checks the rule.
     *
     * @throws IllegalArgumentException if a number is out of its range or NaN
     */
    public GustRule {
        if (!(riseDb > 0.0) || guardBlocks < 0 || !(mostRejectedPercent >= 0.0 && mostRejectedPercent <= 100.0)) {
            throw new IllegalArgumentException("a gust rule needs a rise above 0 dB, 0 or more guard blocks and 0 to"
                    + " 100 %, found " + riseDb + " dB, " + guardBlocks + " and " + mostRejectedPercent + " %");
        }
    }

    /**
     * Applies the rule to a listen.
     *
     * @param levelsDb blocks of equal length in order of time, dB; not changed
     * @return one value a block, true where it is rejected
     */
    public boolean[] rejected(double[] levelsDb) {
        boolean[] rejected = new boolean[levelsDb.length];
        if (levelsDb.length == 0) {
            return rejected;
        }
        double limit = Levels.exceededDb(levelsDb, 50.0) + riseDb;
        for (int i = 0; i < levelsDb.length; i++) {
            if (levelsDb[i] > limit) {
                int last = StrictMath.min(i + guardBlocks, levelsDb.length - 1);
                for (int k = StrictMath.max(i - guardBlocks, 0); k <= last; k++) {
                    rejected[k] = true;
                }
            }
        }
        return rejected;
    }
}
