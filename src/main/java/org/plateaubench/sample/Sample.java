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
public record Sample(long tick, long offsetMillis, int missed, List<Reading> readings) implements TickReadings {

    /** Copies the list. */
    public Sample {
        readings = List.copyOf(readings);
    }

    @Override
    public double indicated(int channel) {
        return readings.get(channel).value();
    }

    @Override
    public Quality quality(int channel) {
        return readings.get(channel).quality();
    }
}
