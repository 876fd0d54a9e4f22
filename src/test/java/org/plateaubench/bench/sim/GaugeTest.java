package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;

import org.junit.jupiter.api.Test;

class GaugeTest {

    private static Gauge noisy(double memory, double resolution) {
        return Gauge.noisy(() -> 30.0, 0.1, 0.05, memory, resolution, 42L);
    }

    @Test
    void noiseHasItsSpreadAndItsCorrelationFromTickToTick() {
        Gauge gauge = noisy(0.8, 0.0);
        int count = 40_000;
        double sum = 0.0;
        double squares = 0.0;
        double products = 0.0;
        double last = 0.0;
        for (int tick = 0; tick < count; tick++) {
            double off = gauge.read(tick) - 30.1;
            sum += off;
            squares += off * off;
            products += tick == 0 ? 0.0 : off * last;
            last = off;
        }
        assertEquals(0.0, sum / count, 0.003);
        assertEquals(0.05, StrictMath.sqrt(squares / count), 0.002);
        assertEquals(0.8, products / squares, 0.015);
    }

    @Test
    void aReadingDependsOnItsTickAlone() {
        Gauge every = noisy(0.8, 0.0);
        double fortieth = Double.NaN;
        for (int tick = 0; tick <= 40; tick++) {
            fortieth = every.read(tick);
        }
        assertEquals(fortieth, noisy(0.8, 0.0).read(40));
    }

    @Test
    void anotherReadingOfTheSameTickDiffersALittle() {
        Gauge gauge = noisy(0.8, 0.0);
        double first = gauge.read(7);
        double second = gauge.read(7);
        assertNotEquals(first, second);
        assertEquals(first, second, 0.06);
        Gauge again = noisy(0.8, 0.0);
        again.read(7);
        assertEquals(second, again.read(7));
    }

    @Test
    void readingsLieOnTheStepsOfTheirResolution() {
        Gauge gauge = noisy(0.0, 0.0625);
        for (int tick = 0; tick < 100; tick++) {
            double steps = gauge.read(tick) / 0.0625;
            assertEquals(StrictMath.rint(steps), steps);
        }
    }

    @Test
    void anExactGaugeReadsTheTruth() {
        assertEquals(3.25, Gauge.exact(() -> 3.25).read(9));
    }

    @Test
    void relativeNoiseGoesWithTheValue() {
        Gauge standstill = Gauge.relative(() -> 0.0, 0.01, 1.0, 3L);
        assertEquals(0.0, standstill.read(1));
        Gauge turning = Gauge.relative(() -> 1000.0, 0.01, 0.0, 3L);
        double squares = 0.0;
        for (int tick = 0; tick < 2000; tick++) {
            squares += StrictMath.pow(turning.read(tick) - 1000.0, 2);
        }
        assertEquals(10.0, StrictMath.sqrt(squares / 2000), 0.7);
    }
}
