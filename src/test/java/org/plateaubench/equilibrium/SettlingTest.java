package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertInstanceOf;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Locale;
import java.util.OptionalDouble;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class SettlingTest {

    private static final double SLOW = 1500.0;

    /**
     * Soaks of 40 minutes and dwells of 10 on a loop whose truth is known, noise 0.05 K at lag-1 0.8, steps of 0.0625 K.
     * With the slow mode known the corrected means must be free of bias within their own scatter; the table shows what
     * not knowing it costs.
     */
    @ParameterizedTest
    @CsvSource({"250, 0.00", "300, 0.03", "450, 0.03", "300, 0.10", "450, 0.10"})
    void correctsTheDwellForASlowModeThatIsKnown(double fast, double slowShare) {
        int passes = Simulated.repetitions(20);
        double[] raw = new double[passes];
        double[] corrected = new double[passes];
        double[] oneMode = new double[passes];
        for (int i = 0; i < passes; i++) {
            long seed = 500 + i;
            double[] noise = Simulated.noise(new Random(seed), 3_000, 0.05, 0.8);
            BlockMeans rise = new BlockMeans(1);
            double sum = 0.0;
            for (int t = 0; t < 3_000; t++) {
                double missing =
                        11.0 * ((1.0 - slowShare) * StrictMath.exp(-t / fast) + slowShare * StrictMath.exp(-t / SLOW));
                double value = Simulated.shown(12.03 - missing + noise[t], 0.0625);
                if (t >= 60) {
                    rise.add(t, value);
                }
                if (t >= 2_400) {
                    sum += value;
                }
            }
            raw[i] = sum / 600.0 - 12.03;
            Settling known = Settling.of(rise, 2_400.0, 2_999.0, OptionalDouble.of(SLOW));
            Settling unknown = Settling.of(rise, 2_400.0, 2_999.0, OptionalDouble.empty());
            corrected[i] = raw[i] + known.correctionKelvin();
            oneMode[i] = raw[i] + unknown.correctionKelvin();
            assertTrue(known.slowModeExcluded());
            assertEquals(0.5 * StrictMath.abs(known.correctionKelvin()), known.standardUncertaintyKelvin(), 1e-15);
        }
        double spread = Series.standardDeviation(corrected);
        System.out.printf(
                Locale.ROOT,
                "fast %3.0f s, slow share %.2f: bias %7.4f K uncorrected, %7.4f K by one mode, %7.4f K with the slow mode"
                        + " known, spread %.4f K%n",
                fast,
                slowShare,
                Series.mean(raw),
                Series.mean(oneMode),
                Series.mean(corrected),
                spread);
        assertEquals(0.0, Series.mean(corrected), 4.0 * spread / StrictMath.sqrt(passes));
        assertTrue(spread < 0.02, "spread of corrected means " + spread + " K");
        if (slowShare > 0.0) {
            assertTrue(Series.mean(raw) < -0.03, "there was something to correct");
        }
    }

    @Test
    void anEndlessDriftNeverSettles() {
        BlockMeans rise = new BlockMeans(1);
        double[] noise = Simulated.noise(new Random(6), 3_600, 0.05, 0.8);
        for (int t = 0; t < 3_600; t++) {
            rise.add(t, 8.0 + 2.0 * t / 3600.0 + noise[t]);
        }
        Settling.Drift drift =
                assertInstanceOf(Settling.Drift.class, Settling.of(rise, 3_000.0, 3_600.0, OptionalDouble.empty()));
        assertEquals(2.0, drift.driftKelvinPerHour(), 0.1);
        assertTrue(Double.isNaN(drift.standardUncertaintyKelvin()));
    }

    @Test
    void whatIsFlatNeedsNoCorrection() {
        for (long seed = 1; seed <= 10; seed++) {
            BlockMeans rise = new BlockMeans(1);
            double[] noise = Simulated.noise(new Random(seed), 3_000, 0.05, 0.8);
            for (int t = 0; t < 3_000; t++) {
                rise.add(t, 8.0 + noise[t]);
            }
            Settling settling = Settling.of(rise, 2_400.0, 3_000.0, OptionalDouble.empty());
            assertEquals(0.0, settling.correctionKelvin(), 0.02, "seed " + seed);
        }
    }

    @Test
    void refusesTooLittleData() {
        assertThrows(
                IllegalArgumentException.class,
                () -> Settling.of(new BlockMeans(1), 0.0, 600.0, OptionalDouble.empty()));
    }
}
