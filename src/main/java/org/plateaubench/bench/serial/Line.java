package org.plateaubench.bench.serial;

/**
 * A line to an instrument: one text line is sent, one comes back. Text is ISO 8859-1, so that every byte that was
 * received can be seen. One thread at a time sends and asks; {@link #close()} may be called by any.
 */
public interface Line extends AutoCloseable {

    /**
     * Sends a request and waits for one line of answer. Whatever arrived before the request was sent is dropped, so that
     * an old answer is never taken for the new one.
     *
     * @param request without line end
     * @param timeoutMillis how long sending and answering may take together, ms
     * @return the answer without line end, not otherwise changed; never empty, since empty lines are passed over
     * @throws LineException if no whole line came in time, or the line is gone
     */
    String ask(String request, long timeoutMillis) throws LineException;

    /**
     * Waits for one more line without asking for it.
     *
     * @param timeoutMillis how long it may take, ms
     * @return the line without line end; never empty
     * @throws LineException if no whole line came in time, or the line is gone
     */
    String listen(long timeoutMillis) throws LineException;

    /**
     * Sends a command that is not answered.
     *
     * @param command without line end
     * @param timeoutMillis how long sending may take, ms
     * @throws LineException if it could not be sent in time, or the line is gone
     */
    void send(String command, long timeoutMillis) throws LineException;

    /** {@return how long this line was busy so far, in the bench's own (real or simulated) time, ns} */
    long busyNanos();

    /** Closes the line, bounded in time. Whoever waits on it meets {@link LineException.Kind#GONE}. */
    @Override
    void close();
}
