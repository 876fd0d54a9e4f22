package org.plateaubench.equilibrium;

import java.util.Arrays;

/**
 * A long series of readings as at most {@value #MOST_BLOCKS} means of neighbouring readings, however long it gets: when
 * the blocks are used up, they are joined in pairs. A reading costs constant time on average. What is fitted to hours of
 * readings is fitted to these.
 */
public final class BlockMeans {

    /** The most blocks there ever are. */
    public static final int MOST_BLOCKS = 256;

    private final int columns;
    private final double[][] means = new double[MOST_BLOCKS][];
    private final int[] counts = new int[MOST_BLOCKS];
    private int size;
    private int readingsPerBlock = 1;
    private double lastSeconds = Double.NaN;

    /**
     * An empty series.
     *
     * @param columns how many values a reading has, 1 or more
     * @throws IllegalArgumentException if that is less than 1
     */
    public BlockMeans(int columns) {
        if (columns < 1) {
            throw new IllegalArgumentException("a reading has 1 value or more, found " + columns);
        }
        this.columns = columns;
    }

    /**
     * Takes one good reading.
     *
     * @param seconds when it was read, s; later than the one before
     * @param values its values, one a column; finite
     * @throws IllegalArgumentException if the time does not advance, a value is not finite, or there are not as many
     *     values as columns; the series is unchanged
     */
    public void add(double seconds, double... values) {
        if (values.length != columns) {
            throw new IllegalArgumentException("needed " + columns + " values, found " + values.length);
        }
        for (double value : values) {
            Readings.check(lastSeconds, seconds, value);
        }
        lastSeconds = seconds;
        if (size > 0 && counts[size - 1] < readingsPerBlock) {
            double[] block = means[size - 1];
            double share = 1.0 / ++counts[size - 1];
            block[0] += share * (seconds - block[0]);
            for (int c = 0; c < columns; c++) {
                block[c + 1] += share * (values[c] - block[c + 1]);
            }
            return;
        }
        if (size == MOST_BLOCKS) {
            joinPairs();
        }
        means[size] = new double[columns + 1];
        means[size][0] = seconds;
        System.arraycopy(values, 0, means[size], 1, columns);
        counts[size++] = 1;
    }

    private void joinPairs() {
        for (int i = 0; i < MOST_BLOCKS / 2; i++) {
            double[] block = means[2 * i];
            for (int c = 0; c <= columns; c++) {
                block[c] += 0.5 * (means[2 * i + 1][c] - block[c]);
            }
            means[i] = block;
            counts[i] = 2 * readingsPerBlock;
        }
        size = MOST_BLOCKS / 2;
        readingsPerBlock *= 2;
    }

    /** {@return how many blocks there are, 0 to 256} */
    public int size() {
        return size;
    }

    /** {@return mean time of each block, s} */
    public double[] seconds() {
        return column(0);
    }

    /**
     * Means of one column.
     *
     * @param column which, from 0
     * @return one mean a block
     */
    public double[] values(int column) {
        return column(column + 1);
    }

    /** {@return how many readings each block holds: the weight of its mean} */
    public double[] weights() {
        return Arrays.stream(counts, 0, size).asDoubleStream().toArray();
    }

    private double[] column(int index) {
        double[] column = new double[size];
        for (int i = 0; i < size; i++) {
            column[i] = means[i][index];
        }
        return column;
    }
}
