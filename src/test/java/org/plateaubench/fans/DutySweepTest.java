package org.plateaubench.fans;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Regression: sweeps of invented fans whose figures can be told by looking. */
class DutySweepTest {

    /** A sweep from 0 to 100 % by 5 %, its two sides as functions of duty. */
    static DutySweep sweep(DoubleUnaryOperator up, DoubleUnaryOperator down) {
        List<SweepPoint> points = new ArrayList<>();
        for (int duty = 5; duty <= 100; duty += 5) {
            points.add(new SweepPoint(duty, true, up.applyAsDouble(duty)));
        }
        for (int duty = 95; duty >= 0; duty -= 5) {
            points.add(new SweepPoint(duty, false, down.applyAsDouble(duty)));
        }
        return new DutySweep(points);
    }

    static DutySweep sweep(DoubleUnaryOperator rpm) {
        return sweep(rpm, rpm);
    }

    private static double line(double duty) {
        return duty < 15 ? 0 : 20 * duty;
    }

    @Test
    void aStraightFanIsStraight() {
        DutySweep sweep = sweep(DutySweepTest::line);
        assertTrue(sweep.answered());
        assertEquals(2000, sweep.topRpm());
        assertEquals(300, sweep.lowestRpm());
        assertEquals(OptionalDouble.of(15), sweep.startedBy());
        assertEquals(OptionalDouble.of(10), sweep.stoppedAt());
        assertEquals(0, sweep.linearityPercent(), 1e-9);
        assertEquals(0, sweep.hysteresisPercent(), 1e-9);
        assertEquals(0, sweep.largestFallPercent(), 1e-9);
        assertEquals(Optional.empty(), sweep.cap());
        assertEquals(18, sweep.means().size());
    }

    @ParameterizedTest
    @ValueSource(doubles = {1, 4, 8})
    void playIsToldInDuty(double play) {
        DutySweep sweep = sweep(d -> line(d - play / 2 < 15 ? d : d - play / 2), d -> d < 15 ? 0 : 20 * (d + play / 2));
        assertEquals(play, sweep.hysteresisPercent(), 1e-9);
        assertEquals(20 * play, sweep.hysteresisRpm(), 1e-9);
    }

    @Test
    void aBowIsADepartureFromTheStraightLine() {
        // A bow of 100 rpm at the middle: the best straight line runs through a part of it.
        DutySweep sweep = sweep(d -> d < 15 ? 0 : 20 * d + 400 * (d - 15) * (100 - d) / 85 / 85);
        assertTrue(sweep.linearityPercent() > 2 && sweep.linearityPercent() < 5, sweep.linearityPercent() + " %");
    }

    @Test
    void aFlatTopIsACapAndNoBow() {
        DutySweep sweep = sweep(d -> Math.min(1200, line(d)));
        assertEquals(Optional.of(new DutySweep.Cap(1200, 60)), sweep.cap());
        assertEquals(0, sweep.linearityPercent(), 1e-9);
    }

    @Test
    void aFanThatHardlyRisesHasNoPlayToTell() {
        DutySweep sweep = sweep(d -> d < 50 ? 0 : 900 + (d % 2 == 0 ? 1 : 0), d -> d < 50 ? 0 : 901);
        assertTrue(Double.isNaN(sweep.hysteresisPercent()));
    }

    @Test
    void aDipIsAFall() {
        DutySweep sweep = sweep(d -> d == 50 ? 800 : line(d));
        assertEquals(5.0, sweep.largestFallPercent(), 1e-9);
    }

    @Test
    void aFanThatNeverTurnsAnswersNothing() {
        DutySweep sweep = sweep(d -> 0, d -> Double.NaN);
        assertFalse(sweep.answered());
        assertTrue(Double.isNaN(sweep.topRpm()));
        assertTrue(Double.isNaN(sweep.hysteresisPercent()));
        assertTrue(Double.isNaN(sweep.largestFallPercent()));
        assertEquals(OptionalDouble.empty(), sweep.startedBy());
        assertEquals(List.of(), sweep.means());
        assertEquals(Optional.empty(), sweep.cap());
    }

    @Test
    void refusesDutiesAndSpeedsThatCannotBe() {
        assertThrows(IllegalArgumentException.class, () -> new SweepPoint(101, true, 100));
        assertThrows(IllegalArgumentException.class, () -> new SweepPoint(Double.NaN, true, 100));
        assertThrows(IllegalArgumentException.class, () -> new SweepPoint(50, true, -1));
    }
}
