package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.apache.commons.math3.distribution.BinomialDistribution;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class ProportionTest {

    /** Validation: the limits' definition (Clopper and Pearson 1934), through sums of binomial probabilities. */
    @ParameterizedTest
    @CsvSource({"1, 10", "4, 20", "1900, 2000", "1999, 2000"})
    void eachLimitLeavesHalfTheErrorBeyond(int hits, int trials) {
        Proportion p = Proportion.of(hits, trials, 0.95);
        assertEquals(
                0.025, 1.0 - new BinomialDistribution(null, trials, p.low()).cumulativeProbability(hits - 1), 1e-6);
        assertEquals(0.025, new BinomialDistribution(null, trials, p.high()).cumulativeProbability(hits), 1e-6);
        assertEquals((double) hits / trials, p.fraction());
    }

    /** Validation: with no hit the upper limit is 1 - (α/2)^(1/n), for ten trials 0.3085. */
    @Test
    void noHitHasTheClosedForm() {
        Proportion none = Proportion.of(0, 10, 0.95);
        assertEquals(0.0, none.low());
        assertEquals(1.0 - StrictMath.pow(0.025, 0.1), none.high(), 1e-8);
        Printed.assertPrinted("upper limit", "0.3085", none.high());
        Proportion all = Proportion.of(10, 10, 0.95);
        assertEquals(1.0, all.high());
        assertEquals(1.0 - none.high(), all.low(), 1e-8);
    }

    @Test
    void refusesImpossibleCounts() {
        assertThrows(IllegalArgumentException.class, () -> Proportion.of(3, 2, 0.95));
        assertThrows(IllegalArgumentException.class, () -> Proportion.of(0, 0, 0.95));
        assertThrows(IllegalArgumentException.class, () -> Proportion.of(1, 2, 1.0));
    }
}
