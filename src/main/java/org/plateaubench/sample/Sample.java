package org.plateaubench.sample;

import java.util.List;

/**
 * All readings of one tick.
 *
 * @param tick number of the tick, from 0
 * @param offsetMillis when it was taken: monotonic milliseconds since the run began
 * @param missed how many ticks were passed over just before this one
 * @param readings one a channel, in the order of the bench file
 */
public record Sample(long tick, long offsetMillis, int missed, List<Reading> readings) {

    /** Copies the list. */
    public Sample {
        readings = List.copyOf(readings);
    }

    /** {@return seconds since the run began} */
    public double seconds() {
        return offsetMillis / 1000.0;
    }
}
