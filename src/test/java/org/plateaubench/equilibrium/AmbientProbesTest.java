package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

class AmbientProbesTest {

    @Test
    void weightsByUncertainty() {
        AmbientProbes probes = new AmbientProbes(0.1, 0.2);
        assertEquals((100.0 * 22.0 + 25.0 * 23.0) / 125.0, probes.mean(22.0, 23.0), 1e-12);
        assertEquals(StrictMath.sqrt(1.0 / 125.0), probes.standardUncertaintyKelvin(), 1e-15);
        assertTrue(Double.isNaN(probes.mean(22.0, Double.NaN)));
    }

    @Test
    void namesTheProbeThatDoesNotAgree() {
        AmbientProbes probes = new AmbientProbes(0.05, 0.05, 0.05);
        AmbientProbes.Agreement agreement = probes.agreement(22.0, 22.3, 22.02);
        assertFalse(agreement.agree());
        assertEquals(1, agreement.farthest());
        assertEquals(0.29, agreement.deviationKelvin(), 1e-12);
        assertTrue(probes.agreement(22.0, 22.05, 22.02).agree());
        assertTrue(new AmbientProbes(0.05).agreement(22.0).agree());
    }

    @Test
    void probesThatAgreeAreSeldomSaidNotTo() {
        long seed = 41;
        Random random = new Random(seed);
        for (int n = 2; n <= 4; n++) {
            double[] u = {0.05, 0.1, 0.08, 0.05};
            AmbientProbes probes = new AmbientProbes(java.util.Arrays.copyOf(u, n));
            int alarms = 0;
            for (int i = 0; i < 4_000; i++) {
                double[] celsius = new double[n];
                for (int p = 0; p < n; p++) {
                    celsius[p] = 22.0 + u[p] * random.nextGaussian();
                }
                alarms += probes.agreement(celsius).agree() ? 0 : 1;
            }
            // 5 % of 4,000 is 200, give or take 4 times 13.8; Bonferroni may be lower
            assertTrue(alarms > 100 && alarms < 256, alarms + " alarms with " + n + " probes, seed " + seed);
        }
    }

    @Test
    void refusesWhatItCannotWeight() {
        assertThrows(IllegalArgumentException.class, AmbientProbes::new);
        assertThrows(IllegalArgumentException.class, () -> new AmbientProbes(0.1, 0.0));
        assertThrows(IllegalArgumentException.class, () -> new AmbientProbes(0.1, 0.1).mean(22.0));
    }
}
