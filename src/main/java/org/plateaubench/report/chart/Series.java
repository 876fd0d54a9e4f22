package org.plateaubench.report.chart;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Values over an axis. Where a value is NaN the line is broken.
 *
 * @param x places, rising
 * @param y values, one a place; NaN: none
 */
public record Series(double[] x, double[] y) {

    /**
     * Checks the lengths. The arrays are not copied: a night has tens of thousands of values.
     *
     * @throws IllegalArgumentException if the lengths differ
     */
    public Series {
        if (x.length != y.length) {
            throw new IllegalArgumentException("every place has a value, found " + x.length + " and " + y.length);
        }
    }

    /** {@return the lowest value; NaN if there is none} */
    public double low() {
        double low = Double.NaN;
        for (double value : y) {
            low = Double.isNaN(value) || low <= value ? low : value;
        }
        return low;
    }

    /** {@return the highest value; NaN if there is none} */
    public double high() {
        double high = Double.NaN;
        for (double value : y) {
            high = Double.isNaN(value) || high >= value ? high : value;
        }
        return high;
    }

    /** {@return the last value; NaN if there is none} */
    double last() {
        for (int i = y.length - 1; i >= 0; i--) {
            if (!Double.isNaN(y[i])) {
                return y[i];
            }
        }
        return Double.NaN;
    }

    /**
     * Unbroken pieces with at most two values for each column: its lowest and its highest, in their order. What the eye
     * would see of all values is kept, whatever their number.
     *
     * @param from lower end of the axis
     * @param to upper end
     * @param columns how many columns the axis has
     * @return the pieces, each with places and values in turn
     */
    List<double[]> thinned(double from, double to, int columns) {
        List<double[]> pieces = new ArrayList<>();
        double[] piece = new double[4 * columns + 4];
        int length = 0;
        int column = -1;
        int low = 0;
        int high = 0;
        for (int i = 0; i <= x.length; i++) {
            boolean gap = i == x.length || Double.isNaN(y[i]) || x[i] < from || x[i] > to;
            int next = gap ? -1 : (int) ((x[i] - from) / (to - from) * columns);
            if (column >= 0 && next != column) {
                length = put(piece, length, Math.min(low, high));
                length = low == high ? length : put(piece, length, Math.max(low, high));
            }
            if (gap && length > 0) {
                pieces.add(Arrays.copyOf(piece, length));
                length = 0;
            }
            if (!gap && next != column) {
                low = i;
                high = i;
            } else if (!gap) {
                low = y[i] < y[low] ? i : low;
                high = y[i] > y[high] ? i : high;
            }
            column = next;
        }
        return pieces;
    }

    private int put(double[] piece, int length, int i) {
        piece[length] = x[i];
        piece[length + 1] = y[i];
        return length + 2;
    }
}
