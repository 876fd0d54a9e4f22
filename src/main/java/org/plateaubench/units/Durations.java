package org.plateaubench.units;

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
     * Real time that something took.
     *
     * @param seconds the length, s
     * @return for example "7.3 s"
     */
    public static String real(double seconds) {
        return Decimals.fixed(seconds, 1) + " s";
    }
}
