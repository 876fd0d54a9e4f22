package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class SplitMix64Test {

    /** Validation: the Java library's generator is the same algorithm in another's implementation. */
    @Test
    void givesTheNumbersOfTheJavaLibrary() {
        for (long seed : new long[] {0, 1, -7, 1234567, Long.MIN_VALUE}) {
            SplitMix64 ours = new SplitMix64(seed);
            SplittableRandom theirs = new SplittableRandom(seed);
            for (int i = 0; i < 1000; i++) {
                assertEquals(theirs.nextLong(), ours.nextLong(), "seed " + seed);
            }
        }
    }

    /** Validation: first outputs for seed 1234567, widely published with the public domain version. */
    @Test
    void givesThePublishedNumbers() {
        SplitMix64 random = new SplitMix64(1234567);
        assertEquals("6457827717110365317", Long.toUnsignedString(random.nextLong()));
        assertEquals("3203168211198807973", Long.toUnsignedString(random.nextLong()));
        assertEquals("9817491932198370423", Long.toUnsignedString(random.nextLong()));
    }

    @Test
    void normalNumbersHaveMeanSpreadAndTailsOfTheNormalDistribution() {
        SplitMix64 random = new SplitMix64(5);
        int count = 100_000;
        double[] values = new double[count];
        int beyondTwo = 0;
        for (int i = 0; i < count; i++) {
            values[i] = random.nextGaussian();
            beyondTwo += StrictMath.abs(values[i]) > 2.0 ? 1 : 0;
        }
        Series series = Series.of(values);
        assertEquals(0.0, series.mean(), 0.01, "seed 5");
        assertEquals(1.0, series.standardDeviation(), 0.01, "seed 5");
        assertEquals(0.0, series.lagOneCorrelation(), 0.01, "seed 5");
        Proportion tails = Proportion.of(beyondTwo, count, 0.999);
        assertTrue(tails.low() < 0.0455 && 0.0455 < tails.high(), "seed 5");
    }
}
