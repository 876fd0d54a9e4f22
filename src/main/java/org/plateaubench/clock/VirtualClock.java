package org.plateaubench.clock;

import java.time.Instant;
import java.util.function.BooleanSupplier;

/**
 * Simulated time. It stands still but for {@link #awaitNanos} and {@link #spend}; with a pace, each wait also takes its
 * share of real time. The wall clock is the start plus the offset, so a simulated night never shows the machine's date.
 */
public final class VirtualClock implements Clock {

    private final Instant start;
    private final SystemClock real;
    private final double pace;
    private volatile long nowNanos;
    /** Where the pace counts from: simulated and real offset. */
    private long pacedFromNanos;

    private long realFromNanos;

    private VirtualClock(Instant start, double pace) {
        this.start = start;
        this.pace = pace;
        this.real = new SystemClock();
    }

    /**
     * A clock whose waits take no real time.
     *
     * @param start the wall-clock time at offset zero
     * @return the clock
     */
    public static VirtualClock unpaced(Instant start) {
        return new VirtualClock(start, Double.POSITIVE_INFINITY);
    }

    /**
     * A clock that runs at a multiple of real time.
     *
     * @param start the wall-clock time at offset zero
     * @param pace simulated seconds a real second; above 0; 1 is real time
     * @return the clock
     * @throws IllegalArgumentException if the pace is not above 0
     */
    public static VirtualClock paced(Instant start, double pace) {
        if (!(pace > 0)) {
            throw new IllegalArgumentException("pace must be above 0, found " + pace);
        }
        return new VirtualClock(start, pace);
    }

    @Override
    public long nanos() {
        return nowNanos;
    }

    @Override
    public Instant wall() {
        return start.plusNanos(nowNanos);
    }

    @Override
    public void awaitNanos(long offsetNanos, BooleanSupplier enough) {
        if (pace != Double.POSITIVE_INFINITY) {
            real.awaitNanos(realFromNanos + (long) ((offsetNanos - pacedFromNanos) / pace), enough);
        }
        if (offsetNanos > nowNanos) {
            nowNanos = offsetNanos;
        }
    }

    /**
     * Moves on at once, whatever the pace, which counts from there.
     *
     * @param offsetNanos the offset to move to; an earlier one changes nothing
     */
    public void skipTo(long offsetNanos) {
        nowNanos = Math.max(nowNanos, offsetNanos);
        pacedFromNanos = nowNanos;
        realFromNanos = real.nanos();
    }

    @Override
    public void spend(long nanos) {
        if (nanos < 0) {
            throw new IllegalArgumentException("time cannot be taken back, found " + nanos + " ns");
        }
        nowNanos += nanos;
    }

    @Override
    public boolean simulated() {
        return true;
    }
}
