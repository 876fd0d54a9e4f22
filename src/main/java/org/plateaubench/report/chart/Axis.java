package org.plateaubench.report.chart;

/**
 * What one direction of a chart measures.
 *
 * @param label quantity and unit, such as "rise of the coolant, K"
 * @param from lower end, in its unit
 * @param to upper end, in its unit; above the lower
 * @param ticks labelled places
 */
public record Axis(String label, double from, double to, Ticks ticks) {

    /** Ticks of an axis that goes up, at the most. */
    private static final int UPRIGHT_TICKS = 7;

    /** Ticks of an axis that goes along, at the most. */
    private static final int ALONG_TICKS = 11;

    private static final double AIR = 0.06;

    /**
     * An axis that goes up and holds a range with some air.
     *
     * @param label quantity and unit
     * @param low lowest value that is drawn
     * @param high highest value that is drawn
     * @return the axis; where both ends are alike or no number, a range around them
     */
    public static Axis upright(String label, double low, double high) {
        return of(label, low, high, UPRIGHT_TICKS);
    }

    /**
     * An axis that goes along and holds a range with some air.
     *
     * @param label quantity and unit
     * @param low lowest value that is drawn
     * @param high highest value that is drawn
     * @return the axis; where both ends are alike or no number, a range around them
     */
    public static Axis along(String label, double low, double high) {
        return of(label, low, high, ALONG_TICKS);
    }

    /**
     * An axis that goes along and holds a range on both sides of zero, with some air.
     *
     * @param label quantity and unit
     * @param low lowest value that is drawn; 0 or less
     * @param high highest value that is drawn; 0 or more
     * @return the axis; where both ends are alike or no number, a range around them
     */
    public static Axis across(String label, double low, double high) {
        double air = high > low ? (high - low) * AIR : 0.5;
        return new Axis(label, low - air, high + air, Ticks.between(low - air, high + air, ALONG_TICKS));
    }

    private static Axis of(String label, double low, double high, int ticks) {
        double from = Double.isFinite(low) ? low : 0.0;
        double to = Double.isFinite(high) ? high : from;
        double air = to > from ? (to - from) * AIR : 0.5;
        // A quantity that cannot be negative does not get a negative part by its air.
        double lower = from >= 0.0 && from < air ? 0.0 : from - air;
        return new Axis(label, lower, to + air, Ticks.between(lower, to + air, ticks));
    }

    /** How far along a value is: 0 at the lower end, 1 at the upper. */
    double share(double value) {
        return (value - from) / (to - from);
    }
}
