package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Locale;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class LongSoakTest {

    private static final double FAST = 300.0;
    private static final double SLOW = 1500.0;
    private static final double PROBE = 30.0;

    private static BlockMeans soak(Random random, int seconds, double slowShare, double swingKelvin) {
        double[] room = Simulated.room(random, seconds, swingKelvin, 720.0, 0.1);
        double[] loop = Simulated.lagged(room, FAST);
        double[] chassis = Simulated.lagged(room, SLOW);
        double[] probe = Simulated.lagged(room, PROBE);
        double[] coolantNoise = Simulated.noise(random, seconds, 0.05, 0.8);
        double[] ambientNoise = Simulated.noise(random, seconds, 0.05, 0.8);
        BlockMeans blocks = new BlockMeans(2);
        for (int t = 60; t < seconds; t++) {
            double rise = 12.0
                    - 11.0 * ((1.0 - slowShare) * StrictMath.exp(-t / FAST) + slowShare * StrictMath.exp(-t / SLOW));
            double coolant = (1.0 - slowShare) * loop[t] + slowShare * chassis[t] + rise;
            blocks.add(
                    t,
                    Simulated.shown(coolant + coolantNoise[t], 0.0625),
                    Simulated.shown(probe[t] + ambientNoise[t], 0.0625));
        }
        return blocks;
    }

    @ParameterizedTest
    @CsvSource({"0.03, 0.5", "0.10, 0.5", "0.03, 0.0", "0.10, 0.0"})
    void findsBothTimeConstantsAndTheProbeLagWhereTheRoomSwings(double share, double swing) {
        int soaks = Simulated.repetitions(4);
        double fast = 0.0;
        double slow = 0.0;
        double lag = 0.0;
        for (int i = 0; i < soaks; i++) {
            long seed = 100 + i;
            LongSoak soak = LongSoak.judge(soak(new Random(seed), 3 * 3600, share, swing))
                    .orElseThrow();
            fast += soak.fastTimeConstantSeconds() / soaks;
            slow += soak.slowMode().orElseThrow().timeConstantSeconds() / soaks;
            assertEquals(12.0, soak.riseKelvin(), 0.1, "seed " + seed);
            assertEquals(swing > 0.0, soak.probeLag().isPresent(), "seed " + seed);
            lag += soak.probeLag().map(LongSoak.ProbeLag::timeConstantSeconds).orElse(0.0) / soaks;
        }
        System.out.printf(
                Locale.ROOT,
                "slow share %.2f, swing %.1f K: fast %.0f s, slow %.0f s, probe %.1f s (truth 300, 1500, 30)%n",
                share,
                swing,
                fast,
                slow,
                lag);
        assertEquals(FAST, fast, 6.0);
        assertEquals(SLOW, slow, 300.0);
        assertEquals(swing > 0.0 ? PROBE : 0.0, lag, 5.0);
    }

    @Test
    void findsNoSlowModeWhereThereIsNone() {
        for (long seed = 1; seed <= 2; seed++) {
            LongSoak soak =
                    LongSoak.judge(soak(new Random(seed), 3 * 3600, 0.0, 0.5)).orElseThrow();
            assertEquals(Optional.empty(), soak.slowMode(), "seed " + seed);
            assertEquals(FAST, soak.fastTimeConstantSeconds(), 6.0, "seed " + seed);
            assertTrue(soak.fastErrorSeconds() < 3.0, "seed " + seed);
        }
    }

    @Test
    void saysNothingWithoutAnApproach() {
        BlockMeans blocks = new BlockMeans(2);
        for (int t = 0; t < 10_800; t++) {
            blocks.add(t, 30.0 + 1e-4 * t, 22.0);
        }
        assertEquals(Optional.empty(), LongSoak.judge(blocks));
        assertThrows(IllegalArgumentException.class, () -> LongSoak.judge(new BlockMeans(2)));
    }
}
