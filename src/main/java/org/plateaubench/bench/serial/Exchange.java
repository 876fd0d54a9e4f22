package org.plateaubench.bench.serial;

import org.plateaubench.bench.serial.LineException.Kind;

/** Questions and commands that together may take no longer than one timeout. */
final class Exchange {

    private static final long NANOS_PER_MILLI = 1_000_000L;

    private final Line line;
    private final long timeoutMillis;
    private final long endNanos;

    /**
     * Begins an exchange.
     *
     * @param line an open line
     * @param timeoutMillis how long everything in it may take together, ms
     */
    Exchange(Line line, long timeoutMillis) {
        this.line = line;
        this.timeoutMillis = timeoutMillis;
        this.endNanos = line.busyNanos() + timeoutMillis * NANOS_PER_MILLI;
    }

    /** See {@link Line#ask}. */
    String ask(String request) throws LineException {
        return line.ask(request, leftMillis());
    }

    /** See {@link Line#listen}. */
    String listen() throws LineException {
        return line.listen(leftMillis());
    }

    /** See {@link Line#send}. */
    void send(String command) throws LineException {
        line.send(command, leftMillis());
    }

    private long leftMillis() throws LineException {
        long left = (endNanos - line.busyNanos()) / NANOS_PER_MILLI;
        if (left <= 0) {
            throw new LineException(Kind.TIMEOUT, "the device took all of its " + timeoutMillis + " ms before that");
        }
        return left;
    }
}
