package org.plateaubench.sample;

/** The readings of one tick as numbers, whatever holds them: a {@link Sample}, or a row of a record as it is read. */
public interface TickReadings {

    /** {@return number of the tick, from 0} */
    long tick();

    /** {@return when they were taken: monotonic milliseconds since the run began} */
    long offsetMillis();

    /** {@return how many ticks were passed over just before this one} */
    int missed();

    /**
     * The indicated value of a channel.
     *
     * @param channel its place in the order of the bench file, from 0
     * @return the number that was recorded, in the channel's unit; NaN if there is none
     */
    double indicated(int channel);

    /**
     * Whether the indicated value of a channel may be used.
     *
     * @param channel its place in the order of the bench file, from 0
     * @return the quality of its reading
     */
    Quality quality(int channel);

    /** {@return seconds since the run began} */
    default double seconds() {
        return offsetMillis() / 1000.0;
    }
}
