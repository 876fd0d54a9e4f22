package org.plateaubench.acoustics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.acoustics.Reading.GapClass;

class ReadingTest {

    /** Validation: ISO 3744:2010 and ISO 3746:2010, rows of the table to their 0.01 dB, formula to 1e-6. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/acoustics/k1-background-correction.csv", numLinesToSkip = 1)
    void correctionsAreThoseOfTheStandards(
            double gap,
            double formula,
            double rounded2,
            double rounded1,
            double iso3744,
            String rule3744,
            double iso3746,
            String rule3746) {
        assertEquals(formula, Levels.levelDb(Levels.errorMultiplier(gap)), 1e-6);
        assertEquals(formula, rounded2, 0.005);
        assertEquals(iso3744, BackgroundRule.ISO_3744.correctionDb(gap), 0.005);
        assertEquals(iso3746, BackgroundRule.ISO_3746.correctionDb(gap), 0.005);
        assertEquals(rounded1, BackgroundRule.ISO_3746.correctionDb(gap), gap > 10.0 ? 0.41 : 0.05);
    }

    /** Validation: limits and largest corrections of both grades, background-criteria.csv. */
    @ParameterizedTest
    @CsvSource({"ISO_3744, 6, 15, 1.3", "ISO_3746, 3, 10, 3.0"})
    void limitsAreThoseOfTheStandards(BackgroundRule rule, double smallest, double largest, double largestCorrection) {
        assertEquals(smallest, rule.smallestGapDb());
        assertEquals(largest, rule.largestGapDb());
        assertEquals(largestCorrection, rule.correctionDb(0.5), 0.05);
        assertEquals(0.0, rule.correctionDb(largest + 0.01));
    }

    /** Levels of two decimals whose differences are not exact in binary numbers. */
    @ParameterizedTest
    @CsvSource({
        "45.31, 30.30, UNCORRECTED, 45.31",
        "45.30, 30.30, CORRECTED, 45.16",
        "40.10, 34.10, CORRECTED, 38.84",
        "40.09, 34.10, SURVEY, 38.83",
        "33.10, 30.10, SURVEY, 30.08",
        "33.09, 30.10, UPPER_BOUND, 30.07",
        "30.10, 30.10, UPPER_BOUND, 27.08",
        "29.00, 30.10, UPPER_BOUND, 25.98"
    })
    void theGapDecidesTheClass(double total, double background, GapClass gapClass, double own) {
        Reading reading = Reading.of(total, background);
        assertEquals(gapClass, reading.gapClass());
        assertEquals(own, reading.ownLevelDb(), 0.005);
    }

    @Test
    void refusesWhatIsNoLevel() {
        assertThrows(IllegalArgumentException.class, () -> Reading.of(Double.NaN, 30.0));
        assertThrows(IllegalArgumentException.class, () -> Reading.of(30.0, Double.NEGATIVE_INFINITY));
    }
}
