package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

class TrendTest {

    static double[] nile() {
        return Printed.lines("uncertainty/nile-annual-flow.csv").stream()
                .skip(1)
                .mapToDouble(line -> Double.parseDouble(line.split(",")[1]))
                .toArray();
    }

    /** Validation: published and computed rows of mann-kendall-results.csv; annual flow of the Nile, Cobb (1978). */
    @Test
    void theNileFallsAsPublished() {
        MannKendall nile = MannKendall.of(nile());
        assertEquals(100, nile.count());
        assertEquals(-1387, nile.s());
        Printed.assertPrinted("z", "-4.128", nile.z());
        Printed.assertPrinted("p", "3.7e-05", nile.twoSided());
        Printed.assertPrinted("variance", "112728.333333", nile.variance());
        Printed.assertPrinted("z", "-4.128066523", nile.z());
        assertEquals(3.658263e-05, nile.twoSided(), 5e-12);
        Printed.assertPrinted("tau-b", "-0.280741335", nile.tauB());
        Printed.assertPrinted("Sen slope", "-2.600000000", nile.senSlope());
    }

    /** Validation: Gilbert (1987), 16.4: S = 4, exact one-sided probability 0.167. */
    @Test
    void aShortSeriesIsJudgedExactly() {
        MannKendall gilbert = MannKendall.of(new double[] {10, 15, 14, 20});
        assertEquals(4, gilbert.s());
        Printed.assertPrinted("one-sided p", "0.167", gilbert.twoSided() / 2.0);
        Printed.assertPrinted("one-sided p", "0.166666667", gilbert.twoSided() / 2.0);
    }

    @Test
    void alikeValuesShowNoDrift() {
        MannKendall flat = MannKendall.of(new double[] {3, 3, 3, 3});
        assertEquals(0, flat.s());
        assertEquals(0.0, flat.z());
        assertEquals(1.0, flat.twoSided());
        assertEquals(0.0, flat.senSlope());
        assertTrue(Double.isNaN(flat.tauB()));
    }

    @Test
    void refusesTooFewOrBadValues() {
        assertThrows(IllegalArgumentException.class, () -> MannKendall.of(new double[] {1, 2}));
        assertThrows(IllegalArgumentException.class, () -> MannKendall.of(new double[] {1, 2, Double.NaN}));
        assertThrows(IllegalArgumentException.class, () -> DurbinWatson.of(new double[] {1}));
    }
}
