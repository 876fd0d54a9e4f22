package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

class BlockMeansTest {

    @Test
    void keepsSingleReadingsWhileThereIsRoom() {
        BlockMeans blocks = new BlockMeans(2);
        blocks.add(1.0, 20.0, 30.0);
        blocks.add(2.5, 21.0, 31.0);
        assertArrayEquals(new double[] {1.0, 2.5}, blocks.seconds());
        assertArrayEquals(new double[] {20.0, 21.0}, blocks.values(0));
        assertArrayEquals(new double[] {30.0, 31.0}, blocks.values(1));
        assertArrayEquals(new double[] {1.0, 1.0}, blocks.weights());
    }

    @Test
    void holdsAtMostItsBlocksAndLosesNoReading() {
        BlockMeans blocks = new BlockMeans(1);
        for (int n = 1; n <= 10_000; n++) {
            blocks.add(n, 2.0 * n + 5.0);
            assertTrue(blocks.size() <= BlockMeans.MOST_BLOCKS);
        }
        double[] seconds = blocks.seconds();
        double[] values = blocks.values(0);
        double[] weights = blocks.weights();
        double sum = 0.0;
        for (int i = 0; i < seconds.length; i++) {
            assertEquals(2.0 * seconds[i] + 5.0, values[i], 1e-9);
            assertTrue(i == 0 || seconds[i] > seconds[i - 1]);
            sum += weights[i] * seconds[i];
        }
        assertEquals(10_000.0, Arrays.stream(weights).sum());
        assertEquals(10_000.0 * 10_001.0 / 2.0, sum, 1e-5);
        assertTrue(blocks.size() > BlockMeans.MOST_BLOCKS / 2);
    }

    @Test
    void refusesWhatItCannotUse() {
        BlockMeans blocks = new BlockMeans(1);
        blocks.add(1.0, 20.0);
        assertThrows(IllegalArgumentException.class, () -> blocks.add(1.0, 20.0));
        assertThrows(IllegalArgumentException.class, () -> blocks.add(2.0, Double.NaN));
        assertThrows(IllegalArgumentException.class, () -> blocks.add(2.0, 20.0, 21.0));
        assertThrows(IllegalArgumentException.class, () -> new BlockMeans(0));
        assertEquals(1, blocks.size());
    }
}
