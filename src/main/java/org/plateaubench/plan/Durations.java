package org.plateaubench.plan;

import org.plateaubench.units.Decimals;

/** Times in messages. */
final class Durations {

    private static final double MINUTE = 60.0;

    private Durations() {}

    /** {@return a time as a person would write it in a plan, such as "17 min" or "90 s"} */
    static String text(double seconds) {
        boolean wholeMinutes = seconds >= MINUTE && seconds % MINUTE == 0;
        return wholeMinutes ? Decimals.shortest(seconds / MINUTE, 0) + " min" : Decimals.shortest(seconds, 3) + " s";
    }

    /** {@return a time rounded up to minutes, in hours and minutes, such as "3 h 25 min"} */
    static String hours(double seconds) {
        long minutes = (long) StrictMath.ceil(seconds / MINUTE);
        long hours = minutes / 60;
        return hours == 0 ? minutes + " min" : hours + " h " + minutes % 60 + " min";
    }
}
