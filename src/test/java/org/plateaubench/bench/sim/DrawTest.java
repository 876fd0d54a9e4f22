package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

class DrawTest {

    /** Validation: the first outputs of SplitMix64 seeded with 0, widely printed; from memory. */
    @Test
    void keysAreTheOutputsOfSplitMix64() {
        assertEquals(0xE220A8397B1DCDAFL, Draw.key(0L, 0));
        assertEquals(0x6E789E6AA1B965F4L, Draw.key(0L, 1));
        assertEquals(0x06C45D188009454FL, Draw.key(0L, 2));
    }

    @Test
    void normalNumbersHaveMeanZeroAndSpreadOne() {
        double sum = 0;
        double squares = 0;
        int outside = 0;
        int count = 20_000;
        for (int i = 0; i < count; i++) {
            double z = Draw.normal(Draw.key(5L, i));
            sum += z;
            squares += z * z;
            outside += Math.abs(z) > 1.959964 ? 1 : 0;
        }
        assertEquals(0.0, sum / count, 0.03);
        assertEquals(1.0, squares / count, 0.04);
        assertEquals(0.05, outside / (double) count, 0.006);
    }

    @Test
    void uniformNumbersFillTheirRange() {
        double least = 1;
        double most = 0;
        for (int i = 0; i < 10_000; i++) {
            double u = Draw.uniform(Draw.key(9L, i));
            least = Math.min(least, u);
            most = Math.max(most, u);
        }
        assertTrue(least >= 0.0 && least < 0.001 && most > 0.999 && most < 1.0, least + " to " + most);
    }

    @Test
    void usesOfASeedHaveNothingToDoWithEachOther() {
        assertNotEquals(Draw.key(1L, "night"), Draw.key(1L, "bench"));
        assertNotEquals(Draw.key(1L, "night"), Draw.key(2L, "night"));
    }
}
