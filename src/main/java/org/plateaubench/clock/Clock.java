package org.plateaubench.clock;

import java.time.Instant;
import java.util.function.BooleanSupplier;

/**
 * The run's time: a monotonic offset that starts near zero, and the wall clock beside it. One thread, the run's, waits
 * on it; any thread may read it.
 */
public interface Clock {

    /** {@return nanoseconds since this clock was made; never goes back} */
    long nanos();

    /** {@return the wall-clock time, UTC; may step} */
    Instant wall();

    /**
     * Waits until {@link #nanos()} has reached the offset; returns at once if it has.
     *
     * @param offsetNanos the offset to wait for
     * @param enough ends the wait early; whoever makes it true unparks the waiting thread
     */
    void awaitNanos(long offsetNanos, BooleanSupplier enough);

    /**
     * Accounts for time that work took in simulation. Virtual clocks move on by it; a real clock has moved already and
     * ignores it.
     *
     * @param nanos simulated duration; 0 or more
     */
    void spend(long nanos);

    /** {@return true if time is simulated, so that nothing real may depend on it} */
    boolean simulated();
}
