package org.plateaubench.units;

import java.util.OptionalDouble;

/** Lengths of time as people read them. */
public final class Durations {

    private Durations() {}

    /**
     * Hours and minutes.
     *
     * @param seconds the length, s; 0 or more
     * @return for example "6 h 48 min", "12 min" or "40 s"
     */
    public static String text(double seconds) {
        long whole = Math.round(seconds);
        if (whole < 60) {
            return whole + " s";
        }
        long minutes = Math.round(seconds / 60.0);
        return minutes < 60 ? minutes + " min" : minutes / 60 + " h " + minutes % 60 + " min";
    }

    /**
     * Reads a length of time.
     *
     * @param text such as "2 h" or "90 s"
     * @return its length, s, 0 or more; empty if the text is none
     */
    public static OptionalDouble seconds(String text) {
        return Quantity.parse(text)
                .filter(q -> q.unit().dimension() == Dimension.TIME && q.inBase() >= 0)
                .map(q -> OptionalDouble.of(q.inBase()))
                .orElse(OptionalDouble.empty());
    }

    /**
     * Real time that something took.
     *
     * @param seconds the length, s
     * @return for example "7.3 s"
     */
    public static String real(double seconds) {
        return Decimals.fixed(seconds, 1) + " s";
    }
}
