package org.plateaubench.acoustics;

import java.util.stream.IntStream;

/**
 * A listen: blocks of level, averaged as energy without the rejected ones.
 *
 * @param middleSeconds time of its middle, s
 * @param countedSeconds how long the blocks that count lasted, s; 0 where none counts
 * @param levelDb equivalent level of the blocks that count, dB; NaN where none counts
 * @param exceeded10Db level that they exceed 10 % of the time, dB
 * @param exceeded50Db level that they exceed 50 % of the time, dB
 * @param exceeded90Db level that they exceed 90 % of the time, dB
 * @param rejectedPercent share of blocks that do not count, per cent
 * @param usable false if so many were rejected that the listen is worth nothing
 */
public record Listen(
        double middleSeconds,
        double countedSeconds,
        double levelDb,
        double exceeded10Db,
        double exceeded50Db,
        double exceeded90Db,
        double rejectedPercent,
        boolean usable) {

    /**
     * Works on the blocks of a listen.
     *
     * @param beginSeconds when the first block began, s
     * @param blockSeconds length of a block, s; above 0
     * @param levelsDb equivalent level of each block, finite, dB, in order of time, at least one; not kept
     * @param rule which of them count
     * @return the listen
     * @throws IllegalArgumentException if there is no block, one is not finite, or a length is not above 0
     */
    public static Listen of(double beginSeconds, double blockSeconds, double[] levelsDb, GustRule rule) {
        if (levelsDb.length == 0 || !(blockSeconds > 0.0)) {
            throw new IllegalArgumentException("a listen needs a block of some length, found " + levelsDb.length
                    + " blocks of " + blockSeconds + " s");
        }
        boolean[] rejected = rule.rejected(levelsDb);
        double[] counted = IntStream.range(0, levelsDb.length)
                .filter(i -> !rejected[i])
                .mapToDouble(i -> levelsDb[i])
                .toArray();
        double middle = beginSeconds + levelsDb.length * blockSeconds / 2.0;
        double rejectedPercent = 100.0 * (levelsDb.length - counted.length) / levelsDb.length;
        if (counted.length == 0) {
            return new Listen(middle, 0.0, Double.NaN, Double.NaN, Double.NaN, Double.NaN, rejectedPercent, false);
        }
        return new Listen(
                middle,
                counted.length * blockSeconds,
                Levels.meanDb(counted),
                Levels.exceededDb(counted, 10.0),
                Levels.exceededDb(counted, 50.0),
                Levels.exceededDb(counted, 90.0),
                rejectedPercent,
                rejectedPercent <= rule.mostRejectedPercent());
    }

    double energy() {
        return Levels.energy(levelDb);
    }
}
