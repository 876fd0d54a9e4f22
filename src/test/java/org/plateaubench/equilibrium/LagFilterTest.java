package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

class LagFilterTest {

    private static final double[] IRREGULAR_STEPS = {1.0, 0.1, 7.3, 30.0, 2.5, 250.0, 0.7, 11.0};

    @Test
    void isEmptyBeforeItsFirstValueAndStartsAtIt() {
        LagFilter filter = new LagFilter(300.0);
        assertTrue(Double.isNaN(filter.value()));
        assertEquals(21.5, filter.add(10.0, 21.5));
        assertEquals(21.5, filter.value());
    }

    @Test
    void followsARampExactlyWhateverTheSteps() {
        // Validation: a lag tau answers x = r t with y = r (t - tau (1 - exp(-t/tau))).
        double tau = 300.0;
        double rate = 0.002;
        LagFilter filter = new LagFilter(tau);
        double t = 0.0;
        filter.add(t, 0.0);
        for (double step : IRREGULAR_STEPS) {
            t += step;
            double expected = rate * (t - tau * (1.0 - StrictMath.exp(-t / tau)));
            assertEquals(expected, filter.add(t, rate * t), 1e-13);
        }
    }

    @Test
    void dampsACycleAndDelaysItAsAFirstOrderLagDoes() {
        // Validation: gain 1/sqrt(1 + (w tau)^2), phase -atan(w tau).
        double tau = 300.0;
        double w = 2.0 * StrictMath.PI / 900.0;
        LagFilter filter = new LagFilter(tau);
        double gain = 1.0 / StrictMath.sqrt(1.0 + w * tau * w * tau);
        double phase = StrictMath.atan(w * tau);
        for (int i = 0; i <= 12_000; i++) {
            double y = filter.add(i, StrictMath.sin(w * i));
            if (i > 9_000) {
                assertEquals(gain * StrictMath.sin(w * i - phase), y, 1e-5);
            }
        }
    }

    @Test
    void aLaggingProbeHasDonePartOfTheWork() {
        // Validation: the loop sees the room itself; its lag applied to the room equals the filter on what the probe
        // says.
        double[] room = Simulated.room(new Random(2), 7_200, 0.5, 720.0, 0.1);
        double[] loop = Simulated.lagged(room, 300.0);
        double[] probe = Simulated.lagged(room, 30.0);
        LagFilter filter = new LagFilter(300.0, 30.0);
        LagFilter ignorant = new LagFilter(300.0);
        double worst = 0.0;
        double worstIgnorant = 0.0;
        for (int t = 0; t < room.length; t++) {
            double error = StrictMath.abs(filter.add(t, probe[t]) - loop[t]);
            double ignorantError = StrictMath.abs(ignorant.add(t, probe[t]) - loop[t]);
            if (t > 2_400) {
                worst = StrictMath.max(worst, error);
                worstIgnorant = StrictMath.max(worstIgnorant, ignorantError);
            }
        }
        assertTrue(worst < 1e-3, "worst error " + worst + " K");
        assertTrue(worstIgnorant > 0.03, "worst error without compensation " + worstIgnorant + " K");
    }

    @Test
    void withoutATimeConstantPassesValuesOn() {
        LagFilter filter = new LagFilter(0.0);
        filter.add(0.0, 1.0);
        assertEquals(5.0, filter.add(1.0, 5.0));
    }

    @Test
    void staysAtAConstantForAMillionValues() {
        LagFilter filter = new LagFilter(250.0);
        for (int i = 0; i < 1_000_000; i++) {
            filter.add(i * 0.1, 28.403);
        }
        assertEquals(28.403, filter.value(), 1e-12);
    }

    @Test
    void refusesTimeThatStandsStillAndValuesThatAreNoNumbers() {
        LagFilter filter = new LagFilter(300.0);
        filter.add(1.0, 20.0);
        assertThrows(IllegalArgumentException.class, () -> filter.add(1.0, 20.0));
        assertThrows(IllegalArgumentException.class, () -> filter.add(2.0, Double.NaN));
        assertEquals(20.0, filter.value());
        assertThrows(IllegalArgumentException.class, () -> new LagFilter(-1.0));
        assertThrows(IllegalArgumentException.class, () -> new LagFilter(30.0, 31.0));
    }
}
