package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

class SeriesMeanTest {

    /** First-order autoregressive noise: the mean of n values varies as that of n(1-r)/(1+r) independent ones. */
    @Test
    void correlatedNoiseCountsForFewerReadings() {
        SplitMix64 random = new SplitMix64(11);
        double r = 0.8;
        int runs = 400;
        int length = 600;
        double errors = 0.0;
        double claimed = 0.0;
        double counted = 0.0;
        for (int run = 0; run < runs; run++) {
            double[] values = new double[length];
            double x = random.nextGaussian();
            for (int i = 0; i < length; i++) {
                values[i] = 5.0 + 0.05 * x;
                x = r * x + StrictMath.sqrt(1.0 - r * r) * random.nextGaussian();
            }
            SeriesMean mean = SeriesMean.of(values, 60, 0.0);
            errors += (mean.mean() - 5.0) * (mean.mean() - 5.0) / runs;
            claimed += mean.standardError() * mean.standardError() / runs;
            counted += mean.effectiveCount() / runs;
            assertEquals(9, mean.degreesOfFreedom());
        }
        double truth = 0.05 * 0.05 / length * (1.0 + r) / (1.0 - r);
        assertEquals(1.0, errors / truth, 0.25, "seed 11");
        assertEquals(1.0, claimed / truth, 0.15, "seed 11");
        assertTrue(counted > 50.0 && counted < 130.0, "seed 11, found " + counted);
    }

    @Test
    void identicalReadingsAreNotKnownBetterThanTheDisplayAllows() {
        double[] alike = new double[600];
        java.util.Arrays.fill(alike, 9.0625);
        SeriesMean mean = SeriesMean.of(alike, 60, 0.0625);
        assertEquals(9.0625, mean.mean());
        assertEquals(0.0625 / StrictMath.sqrt(12.0), mean.standardError(), 1e-15);
    }

    @Test
    void oneBatchSaysNothingOnTheError() {
        assertTrue(Double.isNaN(SeriesMean.of(new double[] {1, 2, 3}, 2, 0.0).standardError()));
    }

    @Test
    void refusesBadValues() {
        assertThrows(IllegalArgumentException.class, () -> SeriesMean.of(new double[] {1, Double.NaN}, 1, 0.0));
        assertThrows(IllegalArgumentException.class, () -> SeriesMean.of(new double[0], 1, 0.0));
        assertThrows(IllegalArgumentException.class, () -> SeriesMean.of(new double[] {1, 2}, 0, 0.0));
        assertThrows(IllegalArgumentException.class, () -> SeriesMean.of(new double[] {1, 2}, 1, -1.0));
    }
}
