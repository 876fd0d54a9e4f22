package org.plateaubench.uncertainty;

/**
 * A seeded generator of pseudo-random numbers that gives the same numbers on every Java version: SplitMix64 of Steele, Lea
 * and Flood, Fast Splittable Pseudorandom Number Generators (2014), with the mixing function in the public domain
 * version of Vigna (2015). Period 2^64. Not for secrets, and not safe for use by several threads.
 */
public final class SplitMix64 {

    private static final long GOLDEN_GAMMA = 0x9E3779B97F4A7C15L;
    private static final double UNIT = 0x1.0p-53;

    private long state;
    private double spare = Double.NaN;

    /**
     * A generator.
     *
     * @param seed any number; the same seed gives the same sequence
     */
    public SplitMix64(long seed) {
        state = seed;
    }

    /** {@return 64 random bits} */
    public long nextLong() {
        state += GOLDEN_GAMMA;
        long z = state;
        z = (z ^ (z >>> 30)) * 0xBF58476D1CE4E5B9L;
        z = (z ^ (z >>> 27)) * 0x94D049BB133111EBL;
        return z ^ (z >>> 31);
    }

    /** {@return a number evenly distributed over the open interval from 0 to 1} */
    public double nextDouble() {
        return ((nextLong() >>> 11) + 0.5) * UNIT;
    }

    /** {@return a normally distributed number, mean 0 and standard deviation 1 (polar method, Marsaglia 1964)} */
    public double nextGaussian() {
        if (!Double.isNaN(spare)) {
            double kept = spare;
            spare = Double.NaN;
            return kept;
        }
        while (true) {
            double x = 2.0 * nextDouble() - 1.0;
            double y = 2.0 * nextDouble() - 1.0;
            double square = x * x + y * y;
            if (square < 1.0 && square > 0.0) {
                double factor = StrictMath.sqrt(-2.0 * StrictMath.log(square) / square);
                spare = y * factor;
                return x * factor;
            }
        }
    }
}
