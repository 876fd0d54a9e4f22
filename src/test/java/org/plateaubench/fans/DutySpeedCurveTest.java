package org.plateaubench.fans;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.plateaubench.fans.DutySpeedCurve.Point;

class DutySpeedCurveTest {

    private static DutySpeedCurve curve(double... dutyAndSpeed) {
        List<Point> points = new ArrayList<>();
        for (int i = 0; i < dutyAndSpeed.length; i += 2) {
            points.add(new Point(dutyAndSpeed[i], dutyAndSpeed[i + 1]));
        }
        return DutySpeedCurve.through(points);
    }

    @Test
    void interpolatesBothWays() {
        DutySpeedCurve curve = curve(20, 500, 60, 1300, 100, 1900);
        assertEquals(900.0, curve.speedRpm(40.0).orElseThrow());
        assertEquals(40.0, curve.dutyPercent(900.0).orElseThrow());
        assertEquals(1600.0, curve.speedRpm(80.0).orElseThrow());
        assertEquals(500.0, curve.speedRpm(20.0).orElseThrow());
        assertEquals(100.0, curve.dutyPercent(1900.0).orElseThrow());
    }

    @Test
    void saysNothingOutsideItsPoints() {
        DutySpeedCurve curve = curve(20, 500, 100, 1900);
        assertEquals(OptionalDouble.empty(), curve.speedRpm(19.9));
        assertEquals(OptionalDouble.empty(), curve.dutyPercent(1901.0));
        assertEquals(OptionalDouble.empty(), curve.dutyPercent(499.0));
        assertEquals(OptionalDouble.empty(), curve.dutyPercent(Double.NaN));
    }

    @Test
    void averagesTheSweepsAndPoolsWhatWouldFall() {
        DutySpeedCurve curve = curve(40, 900, 20, 490, 20, 510, 60, 880, 80, 1500);
        assertEquals(
                List.of(new Point(20, 500), new Point(40, 890), new Point(60, 890), new Point(80, 1500)),
                curve.points());
        assertEquals(40.0, curve.dutyPercent(890.0).orElseThrow());
    }

    @Test
    void aCapGivesItsLowestDuty() {
        assertEquals(
                80.0, curve(20, 500, 80, 1500, 100, 1500).dutyPercent(1500.0).orElseThrow());
    }

    @Test
    void neverFallsAndComesBackToTheSpeedAskedFor() {
        long seed = 17;
        Random random = new Random(seed);
        for (int round = 0; round < 200; round++) {
            List<Point> points = new ArrayList<>();
            for (int duty = 20; duty <= 100; duty += 5) {
                points.add(new Point(duty, 300.0 + 15.0 * duty + 60.0 * random.nextGaussian()));
                points.add(new Point(duty, 300.0 + 15.0 * duty + 60.0 * random.nextGaussian()));
            }
            DutySpeedCurve curve = DutySpeedCurve.through(points);
            double before = 0.0;
            for (double duty = 20.0; duty <= 100.0; duty += 0.5) {
                double speed = curve.speedRpm(duty).orElseThrow();
                assertTrue(speed >= before, "seed " + seed);
                before = speed;
                double back = curve.dutyPercent(speed).orElseThrow();
                assertEquals(speed, curve.speedRpm(back).orElseThrow(), 1e-9, "seed " + seed);
            }
        }
    }

    @Test
    void needsAPointWhereTheFanRuns() {
        assertThrows(IllegalArgumentException.class, () -> DutySpeedCurve.through(List.of()));
        assertThrows(IllegalArgumentException.class, () -> new Point(20.0, 0.0));
        assertThrows(IllegalArgumentException.class, () -> new Point(101.0, 500.0));
    }
}
