package org.plateaubench.clock;

/** A moment of real, monotonic time by which something must have happened, whatever the run's clock says. */
public final class Deadline {

    private final long endNanos;

    private Deadline(long endNanos) {
        this.endNanos = endNanos;
    }

    /**
     * A deadline so long from now.
     *
     * @param millis real milliseconds; 0 or more
     * @return the deadline
     */
    public static Deadline afterMillis(long millis) {
        return new Deadline(System.nanoTime() + millis * 1_000_000L);
    }

    /** {@return true once the moment has come} */
    public boolean passed() {
        return leftNanos() <= 0;
    }

    /** {@return real nanoseconds left; 0 or less once it has passed} */
    public long leftNanos() {
        return endNanos - System.nanoTime();
    }

    /** {@return real milliseconds left, rounded up; 0 once it has passed} */
    public long leftMillis() {
        return Math.max(0, (leftNanos() + 999_999L) / 1_000_000L);
    }

    /** Waits for the deadline. A thread interrupt ends the wait early and stays set. */
    public void await() {
        long left = leftNanos();
        while (left > 0 && !Thread.currentThread().isInterrupted()) {
            java.util.concurrent.locks.LockSupport.parkNanos(left);
            left = leftNanos();
        }
    }
}
