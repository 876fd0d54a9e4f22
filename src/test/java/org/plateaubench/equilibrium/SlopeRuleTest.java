package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import java.util.Random;
import org.apache.commons.math3.stat.regression.SimpleRegression;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class SlopeRuleTest {

    private static SlopeRule rule(double windowSeconds, double forSeconds, double resolutionKelvin) {
        return new SlopeRule(
                1.0, windowSeconds, forSeconds, OptionalDouble.empty(), OptionalDouble.empty(), resolutionKelvin);
    }

    @Test
    void slopeIsThatOfTheLeastSquaresLineOverTheTrailingWindowAtIrregularTimes() {
        long seed = 4;
        Random random = new Random(seed);
        SlopeRule rule = rule(600.0, 0.0, 0.0);
        List<double[]> kept = new ArrayList<>();
        double t = 1000.0;
        for (int i = 0; i < 3_000; i++) {
            t += 0.1 + 3.0 * random.nextDouble();
            double y = 7.0 + 0.0003 * t + 0.05 * random.nextGaussian();
            kept.add(new double[] {t, y});
            rule.add(t, y);
            if (i % 97 == 50) {
                SimpleRegression expected = new SimpleRegression();
                for (double[] point : kept) {
                    if (point[0] >= t - 600.0) {
                        expected.addData(point[0], point[1]);
                    }
                }
                assertEquals(expected.getSlope() * 3600.0, rule.verdict().slopeKelvinPerHour(), 1e-9, "seed " + seed);
            }
        }
    }

    @Test
    void keepsItsDigitsForAMillionReadings() {
        SlopeRule rule = rule(900.0, 120.0, 0.0);
        double slope = 0.25 / 3600.0;
        for (int i = 0; i < 1_000_000; i++) {
            rule.add(i, 20.0 + slope * i);
        }
        assertEquals(0.25, rule.verdict().slopeKelvinPerHour(), 1e-9);
        assertTrue(rule.verdict().settled());
    }

    @Test
    void identicalReadingsSettleAndAreNoNaN() {
        SlopeRule exact = rule(600.0, 120.0, 0.0);
        SlopeRule stepped = rule(600.0, 120.0, 0.0625);
        for (int i = 0; i <= 720; i++) {
            exact.add(i, 8.0625);
            stepped.add(i, 8.0625);
        }
        assertEquals(0.0, exact.verdict().marginKelvinPerHour());
        assertTrue(exact.verdict().settled());
        assertTrue(stepped.verdict().marginKelvinPerHour() > 0.0);
        assertTrue(stepped.verdict().settled());
    }

    @Test
    void saysNothingBeforeTheWindowIsFullAndSettlesAfterTheHoldingTime() {
        SlopeRule rule = rule(600.0, 120.0, 0.0);
        assertTrue(Double.isNaN(rule.verdict().slopeKelvinPerHour()));
        for (int i = 0; i <= 800; i++) {
            rule.add(i, 8.0);
            assertEquals(i >= 600, rule.verdict().windowFull(), "at " + i + " s");
            assertEquals(i >= 720, rule.verdict().settled(), "at " + i + " s");
            assertEquals(StrictMath.max(0.0, i - 600.0), rule.verdict().heldSeconds(), "at " + i + " s");
        }
    }

    @Test
    void aSlopeAboveTheLimitBreaksTheHoldingTime() {
        SlopeRule rule = rule(600.0, 120.0, 0.0);
        double t = 0.0;
        for (; t <= 800.0; t++) {
            rule.add(t, 8.0);
        }
        assertTrue(rule.verdict().settled());
        for (; t <= 1_200.0; t++) {
            rule.add(t, 8.0 + (t - 800.0) * 0.002);
        }
        assertFalse(rule.verdict().settled());
        assertEquals(0.0, rule.verdict().heldSeconds());
    }

    @Test
    void marginAloneCanKeepItFromSettling() {
        long seed = 11;
        Random random = new Random(seed);
        SlopeRule rule = rule(120.0, 0.0, 0.0);
        for (int i = 0; i <= 600; i++) {
            rule.add(i, 8.0 + 0.2 * random.nextGaussian());
            assertFalse(rule.verdict().settled(), "seed " + seed);
        }
        assertTrue(rule.verdict().marginKelvinPerHour() > 1.0, "seed " + seed);
    }

    @Test
    void aLongGapBreaksTheHoldingTimeAndTheWindowMustFillAgain() {
        SlopeRule rule = rule(600.0, 120.0, 0.0);
        double t = 0.0;
        for (; t <= 700.0; t++) {
            rule.add(t, 8.0);
        }
        assertEquals(100.0, rule.verdict().heldSeconds());
        t += 200.0;
        rule.add(t, 8.0);
        assertFalse(rule.verdict().windowFull());
        assertEquals(0.0, rule.verdict().heldSeconds());
        double back = t;
        while (!rule.verdict().windowFull()) {
            t += 1.0;
            rule.add(t, 8.0);
        }
        assertTrue(t - back >= 280.0, "full again after " + (t - back) + " s");
        assertFalse(rule.verdict().settled());
    }

    @Test
    void scatteredMissingReadingsDoNotHinderIt() {
        long seed = 3;
        Random random = new Random(seed);
        SlopeRule rule = rule(600.0, 120.0, 0.0);
        for (int i = 0; i <= 720; i++) {
            if (i == 0 || i == 720 || random.nextDouble() < 0.7) {
                rule.add(i, 8.0);
            }
        }
        assertTrue(rule.verdict().settled(), "seed " + seed);
    }

    @ParameterizedTest
    @CsvSource({"60, 10", "60, 1", "120, 0.1", "600, 10", "7200, 10"})
    void judgesAnyWindowAtAnySamplingOfTheBench(double windowSeconds, double everySeconds) {
        SlopeRule rule = rule(windowSeconds, windowSeconds / 4.0, 0.0);
        int last = (int) StrictMath.ceil(1.25 * windowSeconds / everySeconds);
        for (int i = 0; i <= last; i++) {
            rule.add(i * everySeconds, 8.0);
        }
        assertTrue(rule.verdict().settled());
    }

    @Test
    void remainingRiseIsThatOfADecayWithTheSlowTimeConstant() {
        // Validation: an exponential decay without noise; the bound is then the rise itself plus its margin's share.
        double tau = 1500.0;
        for (double window : new double[] {60.0, 900.0, 7200.0}) {
            SlopeRule rule = new SlopeRule(1.0, window, 0.0, OptionalDouble.of(0.2), OptionalDouble.of(tau), 0.0);
            double t = 0.0;
            double rise = Double.NaN;
            for (; t <= window + 10.0; t++) {
                rise = StrictMath.exp(-t / tau);
                rule.add(t, 12.0 - rise);
            }
            Verdict verdict = rule.verdict();
            double steepest = StrictMath.abs(verdict.slopeKelvinPerHour()) + verdict.marginKelvinPerHour();
            double withoutMargin =
                    verdict.remainingRiseKelvin() * StrictMath.abs(verdict.slopeKelvinPerHour()) / steepest;
            assertEquals(1.0, withoutMargin / rise, 2e-3, "window " + window + " s");
        }
    }

    @Test
    void remainingRiseFormulaKeepsItsDigitsForShortAndLongWindows() {
        // Validation: u -> 0 gives g = 1 + u; both branches meet at u = 0.1; g(1) = 3e(cosh 1 - sinh 1) = 3.
        assertEquals(1500.0 / (1.0 + 1e-6), SlopeRule.remainingRisePerSlope(1500.0, 3e-3), 1e-8);
        assertEquals(
                1.0,
                SlopeRule.remainingRisePerSlope(1000.0, 200.0 - 1e-9)
                        / SlopeRule.remainingRisePerSlope(1000.0, 200.0 + 1e-9),
                1e-11);
        assertEquals(500.0 / 3.0, SlopeRule.remainingRisePerSlope(500.0, 1000.0), 1e-10);
        assertEquals(0.0, SlopeRule.remainingRisePerSlope(1.0, 7200.0));
    }

    @Test
    void remainingRiseAboveItsLimitKeepsItFromSettling() {
        SlopeRule strict = new SlopeRule(1.0, 600.0, 60.0, OptionalDouble.of(0.2), OptionalDouble.of(3000.0), 0.0);
        SlopeRule uncommissioned = new SlopeRule(1.0, 600.0, 60.0, OptionalDouble.of(0.2), OptionalDouble.empty(), 0.0);
        for (int i = 0; i <= 800; i++) {
            strict.add(i, i * 0.5 / 3600.0);
            uncommissioned.add(i, i * 0.5 / 3600.0);
        }
        assertFalse(strict.verdict().settled());
        assertTrue(strict.verdict().remainingRiseKelvin() > 0.2);
        assertTrue(uncommissioned.verdict().settled());
        assertTrue(Double.isNaN(uncommissioned.verdict().remainingRiseKelvin()));
    }

    @Test
    void refusesWhatItCannotUseAndStaysAsItWas() {
        SlopeRule rule = rule(600.0, 120.0, 0.0);
        rule.add(5.0, 8.0);
        Verdict before = rule.verdict();
        assertThrows(IllegalArgumentException.class, () -> rule.add(5.0, 8.0));
        assertThrows(IllegalArgumentException.class, () -> rule.add(6.0, Double.NaN));
        assertEquals(before, rule.verdict());
        assertThrows(IllegalArgumentException.class, () -> rule(0.0, 120.0, 0.0));
        assertThrows(IllegalArgumentException.class, () -> rule(600.0, -1.0, 0.0));
        assertThrows(IllegalArgumentException.class, () -> rule(600.0, 120.0, Double.NaN));
    }
}
