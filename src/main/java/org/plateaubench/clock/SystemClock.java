package org.plateaubench.clock;

import java.time.Instant;
import java.util.concurrent.locks.LockSupport;
import java.util.function.BooleanSupplier;

/** The machine's own time: {@code System.nanoTime} for durations, the system's wall clock beside it. */
public final class SystemClock implements Clock {

    private final long originNanos = System.nanoTime();

    @Override
    public long nanos() {
        return System.nanoTime() - originNanos;
    }

    @Override
    public Instant wall() {
        return Instant.now();
    }

    @Override
    public void awaitNanos(long offsetNanos, BooleanSupplier enough) {
        long left = offsetNanos - nanos();
        while (left > 0 && !enough.getAsBoolean() && !Thread.currentThread().isInterrupted()) {
            LockSupport.parkNanos(this, left);
            left = offsetNanos - nanos();
        }
    }

    @Override
    public void spend(long nanos) {}

    @Override
    public boolean simulated() {
        return false;
    }
}
