package org.plateaubench.acoustics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;
import org.junit.jupiter.params.provider.CsvSource;

class LevelsTest {

    /** Validation: handbook table of level addition, to its 0.1 dB, and the formula. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/acoustics/level-addition.csv", numLinesToSkip = 1)
    void twoLevelsAddAsInTheHandbook(double difference, double handbook, double formula) {
        double increment = Levels.sumDb(60.0, 60.0 - difference) - 60.0;
        assertEquals(handbook, increment, 0.05);
        assertEquals(formula, increment, 1e-6);
        assertEquals(60.0 - difference, Levels.ownDb(60.0 + increment, 60.0), 1e-9);
    }

    /** Validation: computed sums and means. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/acoustics/level-sum-mean-computed.csv", numLinesToSkip = 1)
    void sumsAndMeansAreThoseOfEnergies(String name, String levels, double sum, double mean) {
        double[] levelsDb = Arrays.stream(levels.split(" "))
                .mapToDouble(Double::parseDouble)
                .toArray();
        assertEquals(sum, Levels.sumDb(levelsDb), 1e-6, name);
        assertEquals(mean, Levels.meanDb(levelsDb), 1e-6, name);
    }

    /** Validation: check values of common practice, a gap of 10, 6, 3 dB and below half a decibel. */
    @ParameterizedTest
    @CsvSource({"10, 1.11", "6, 1.335", "3, 2.0"})
    void anErrorGrowsNearTheBackground(double gap, double multiplier) {
        assertEquals(multiplier, Levels.errorMultiplier(gap), 0.006);
        double step = 1e-5;
        double slope = (Levels.ownDb(30.0 + gap + step, 30.0) - Levels.ownDb(30.0 + gap - step, 30.0)) / (2.0 * step);
        assertEquals(slope, Levels.errorMultiplier(gap), 1e-6);
    }

    @Test
    void belowHalfADecibelAnErrorGrowsMoreThanTenfold() {
        assertTrue(Levels.errorMultiplier(0.45) > 10.0);
        assertEquals(Double.POSITIVE_INFINITY, Levels.errorMultiplier(0.0));
        assertTrue(Double.isNaN(Levels.ownDb(30.0, 30.0)));
    }

    /**
     * Validation: check values of common practice. Totals 0.4 dB above the background at 1200 rpm and 1.6 dB at 1600 rpm
     * are own levels of -10.2 and -3.5 dB re background, and 53.2 dB a decade; the rounding of the levels to 0.1 dB allows
     * 47.6 to 59.3, which holds the 50 of the fan laws.
     */
    @Test
    void checkValuesOfCommonPracticeAreReproduced() {
        assertEquals(-10.2, Levels.ownDb(0.4, 0.0), 0.05);
        assertEquals(-3.5, Levels.ownDb(1.6, 0.0), 0.05);
        assertEquals(53.2, slope(0.4, 1.6), 0.05);
        assertEquals(47.6, slope(0.45, 1.55), 0.05);
        assertEquals(59.3, slope(0.35, 1.65), 0.05);
    }

    private static double slope(double gapAt1200, double gapAt1600) {
        return (Levels.ownDb(gapAt1600, 0.0) - Levels.ownDb(gapAt1200, 0.0)) / StrictMath.log10(1600.0 / 1200.0);
    }

    @Test
    void percentileLevelsAreExceededThatShareOfTheTime() {
        double[] levels = {30, 20, 24, 22, 26, 28, 40, 38, 36, 34, 32};
        assertEquals(38.0, Levels.exceededDb(levels, 10.0), 1e-12);
        assertEquals(30.0, Levels.exceededDb(levels, 50.0), 1e-12);
        assertEquals(22.0, Levels.exceededDb(levels, 90.0), 1e-12);
        assertEquals(39.0, Levels.exceededDb(levels, 5.0), 1e-12);
        assertEquals(40.0, Levels.exceededDb(levels, 0.0));
        assertEquals(20.0, Levels.exceededDb(levels, 100.0));
    }

    @Test
    void refusesNoLevelAndBadOnes() {
        assertThrows(IllegalArgumentException.class, () -> Levels.meanDb());
        assertThrows(IllegalArgumentException.class, () -> Levels.meanDb(30.0, Double.NaN));
        assertThrows(IllegalArgumentException.class, () -> Levels.exceededDb(new double[0], 50.0));
        assertThrows(IllegalArgumentException.class, () -> Levels.exceededDb(new double[] {1.0}, 101.0));
    }
}
