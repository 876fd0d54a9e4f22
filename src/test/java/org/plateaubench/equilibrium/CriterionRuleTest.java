package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

class CriterionRuleTest {

    /** When the rule says settled, one reading a minute; -1 if it does not within ten hours. */
    private static double settledAt(PublishedCriterion criterion, DoubleUnaryOperator rise) {
        CriterionRule rule = new CriterionRule(criterion);
        for (int minute = 0; minute <= 600; minute++) {
            rule.add(60.0 * minute, rise.applyAsDouble(60.0 * minute));
            if (rule.settled()) {
                return minute;
            }
        }
        return -1.0;
    }

    /**
     * Validation: the largest steady drift that each standard still takes for equilibrium, K/h, from its limit and
     * interval; a little less settles, a little more does not.
     */
    @ParameterizedTest
    @CsvSource({
        "IEC_60034_1, 2, 120",
        "IEC_62368_1, 6, 30",
        "IEC_61810_7, 6, 10",
        "IEC_62135_1, 2, 60",
        "IEC_62282_2, 12, 15",
        "IEC_61010_1, 2, 60",
        "IEC_60601_1, 2, 60",
        "MIL_STD_810, 2, 60",
        "IEC_60947_1, 1, 60",
        "IEC_61439_1, 1, 60",
        "IEC_60076_2, 1, 180"
    })
    void takesADriftJustBelowItsLimitForEquilibrium(PublishedCriterion criterion, double limit, double minutes) {
        assertEquals(minutes, settledAt(criterion, t -> 8.0 + 0.999 * limit * t / 3600.0));
        assertEquals(minutes, settledAt(criterion, t -> 8.0 - 0.999 * limit * t / 3600.0));
        assertEquals(-1.0, settledAt(criterion, t -> 8.0 + 1.001 * limit * t / 3600.0));
    }

    @Test
    void fansMustShowNoIncreaseAtIntervalsThatGrowWithTime() {
        assertEquals(10.0, settledAt(PublishedCriterion.UL_507, t -> 8.0));
        assertEquals(-1.0, settledAt(PublishedCriterion.UL_507, t -> 8.0 + 1e-6 * t));
        // rising until minute 100; readings at minutes 0, 5, ... 50, 55, 61, 68, 75, 83, 92, then 102, 113, 125
        assertEquals(125.0, settledAt(PublishedCriterion.UL_507, t -> StrictMath.min(t, 6_000.0)));
    }

    @Test
    void lampsWaitThreeHoursAndMustNotBeRising() {
        assertEquals(180.0, settledAt(PublishedCriterion.UL_1993, t -> 8.0));
        assertEquals(-1.0, settledAt(PublishedCriterion.UL_1993, t -> 8.0 + 1e-5 * t));
        assertEquals(180.0, settledAt(PublishedCriterion.UL_1993, t -> 8.0 - 1e-5 * t));
    }

    @Test
    void aMissingReadingIsReplacedByTheNextGoodOne() {
        CriterionRule rule = new CriterionRule(PublishedCriterion.IEC_61810_7);
        rule.add(0.0, 8.0);
        rule.add(290.0, 8.0);
        rule.add(320.0, 8.0);
        rule.add(610.0, 8.0);
        assertFalse(rule.settled());
        rule.add(620.0, 8.0);
        assertTrue(rule.settled());
    }

    @ParameterizedTest
    @EnumSource(PublishedCriterion.class)
    void everyCriterionNamesItsSourceAndSettlesOnWhatIsStill(PublishedCriterion criterion) {
        assertTrue(criterion.source().matches("(IEC|UL|MIL).*[0-9].*"));
        assertTrue(settledAt(criterion, t -> 8.0) >= 0.0);
    }
}
