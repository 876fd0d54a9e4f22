package org.plateaubench.fans;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Regression: what tachometers read that do not read the speed. */
class TachometerFaultTest {

    private static Optional<TachometerFault> inSweep(DoubleUnaryOperator reading) {
        List<DutySpeedCurve.Point> curve = new ArrayList<>();
        for (int duty = 20; duty <= 100; duty += 5) {
            curve.add(new DutySpeedCurve.Point(duty, reading.applyAsDouble(duty)));
        }
        return TachometerFault.inSweep(curve);
    }

    @ParameterizedTest
    @CsvSource({
        "4000, DOUBLING",
        "3500, DOUBLING",
        "1000, HALVING",
        "1100, HALVING",
        "2000, ",
        "1700, ",
        "2900, ",
        "1400, "
    })
    void aFactorNearTwoOrAHalfIsNamed(double rpm, TachometerFault fault) {
        assertEquals(Optional.ofNullable(fault), TachometerFault.ofRatio(rpm, 2000));
    }

    @Test
    void anHonestFanIsNotSuspected() {
        assertEquals(Optional.empty(), inSweep(d -> 20 * d));
        assertEquals(Optional.empty(), inSweep(d -> Math.min(900, 20 * d)));
        assertEquals(Optional.empty(), inSweep(d -> 400 + 16 * (d - 20) + 300 * (d - 20) * (100 - d) / 6400));
    }

    @Test
    void pulsesThatDoubleFromSomeSpeedOnAreNamed() {
        assertEquals(Optional.of(TachometerFault.DOUBLING), inSweep(d -> d < 60 ? 20 * d : 40 * d));
    }

    @Test
    void pulsesThatAreLostFromSomeSpeedOnAreNamed() {
        assertEquals(Optional.of(TachometerFault.HALVING), inSweep(d -> d < 60 ? 20 * d : 10 * d));
    }

    @Test
    void edgesOfTheDutyThatAreCountedTooAreNamed() {
        // Full duty has no edges, so the reading falls there.
        assertEquals(Optional.of(TachometerFault.COUPLING), inSweep(d -> 20 * d + (d < 100 ? 700 : 0)));
    }

    @Test
    void readingsThatRiseWhileTheFanCoastsAreNamed() {
        double[] falling = {2000, 1340, 898, 602, 403, 270, 181, 0, 0};
        assertEquals(Optional.empty(), TachometerFault.whileCoasting(falling));
        double[] stray = {2000, 1340, 898, Double.NaN, 1500, 270, 181, 0, 0};
        assertEquals(Optional.of(TachometerFault.COASTING_EDGES), TachometerFault.whileCoasting(stray));
        double[] afterRest = {2000, 1340, 0, 0, 450, 0};
        assertEquals(Optional.of(TachometerFault.COASTING_EDGES), TachometerFault.whileCoasting(afterRest));
        double[] lateFirst = {Double.NaN, 2000, 1340, 898, 1500, 0};
        assertEquals(Optional.of(TachometerFault.COASTING_EDGES), TachometerFault.whileCoasting(lateFirst));
    }
}
