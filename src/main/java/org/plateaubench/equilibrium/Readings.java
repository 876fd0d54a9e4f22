package org.plateaubench.equilibrium;

/** The one check that everything fed reading by reading makes. */
final class Readings {

    private Readings() {}

    /**
     * Checks that a reading is a number and later than the one before.
     *
     * @param lastSeconds time of the reading before, s; NaN if there is none
     * @param seconds time of this one, s
     * @param value its value
     * @throws IllegalArgumentException if the value or the time is not finite, or the time does not advance
     */
    static void check(double lastSeconds, double seconds, double value) {
        if (!Double.isFinite(seconds) || !Double.isFinite(value)) {
            throw new IllegalArgumentException(
                    "a reading must be finite, found " + value + " at " + seconds + " s; leave a bad reading out");
        }
        if (seconds <= lastSeconds) {
            throw new IllegalArgumentException(
                    "readings must come in order of time, found one at " + seconds + " s after " + lastSeconds + " s");
        }
    }
}
