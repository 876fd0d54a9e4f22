package org.plateaubench.bench.sim;

/**
 * Random numbers by key: the same key gives the same number, whenever and in whatever order it is asked for. Keys are
 * mixed by the output function of SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators",
 * with the constants of Stafford's variant 13; from memory).
 */
final class Draw {

    private static final long GOLDEN = 0x9E3779B97F4A7C15L;

    private Draw() {}

    /**
     * A key for one use of a seed.
     *
     * @param seed the seed, or another key
     * @param use what for
     * @return a key that has nothing to do with those of other uses
     */
    static long key(long seed, String use) {
        long key = mix(seed + GOLDEN);
        for (int i = 0; i < use.length(); i++) {
            key = mix(key ^ use.charAt(i));
        }
        return key;
    }

    /**
     * A key for one of many draws of the same use.
     *
     * @param key the key of the use
     * @param index which draw; any number
     * @return its key
     */
    static long key(long key, long index) {
        return mix(key + GOLDEN * (index + 1));
    }

    /**
     * {@return a number from 0 to below 1, uniformly}
     *
     * @param key the key of the draw
     */
    static double uniform(long key) {
        return (mix(key) >>> 11) * 0x1.0p-53;
    }

    /**
     * {@return a standard normal number, by Box and Muller}
     *
     * @param key the key of the draw
     */
    static double normal(long key) {
        double radius = StrictMath.sqrt(-2.0 * StrictMath.log(1.0 - uniform(key)));
        return radius * StrictMath.cos(2.0 * StrictMath.PI * uniform(key + GOLDEN));
    }

    private static long mix(long value) {
        long z = value;
        z = (z ^ (z >>> 30)) * 0xBF58476D1CE4E5B9L;
        z = (z ^ (z >>> 27)) * 0x94D049BB133111EBL;
        return z ^ (z >>> 31);
    }
}
