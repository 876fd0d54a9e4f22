package org.plateaubench.bench.serial;

import java.util.ArrayDeque;
import java.util.Deque;

/**
 * What a simulated instrument tells a line out of band: how many requests it has dealt with, and how many bytes it wrote.
 * Once every request is dealt with and every byte is read, no answer will come any more: a timeout in simulated time
 * needs no real waiting, and bytes that are still on their way are neither missed nor taken for the next answer. So that
 * a line that waits in the system's read notices, a request without a whole answer is followed by a filler byte, which
 * the line takes out again by its place in the stream.
 *
 * <p>Shared by the {@link Pty}s and the {@link Line}s of one instrument; may be used by any thread.
 */
public final class Silence {

    private final Deque<Long> fillers = new ArrayDeque<>();
    private long asked;
    private long handled;
    private long written;
    private long read;

    /** A new pseudo-terminal stands behind the line: nothing was asked or written yet. */
    synchronized void plugged() {
        asked = 0;
        handled = 0;
        written = 0;
        read = 0;
        fillers.clear();
    }

    /** The line is about to send a request or a command. */
    synchronized void asking() {
        asked++;
    }

    /**
     * The instrument is about to write bytes.
     *
     * @param bytes how many
     */
    synchronized void writing(int bytes) {
        written += bytes;
    }

    /**
     * The instrument has dealt with one request, and is about to write its answer.
     *
     * @param bytes how many it will write, the filler included
     * @param filler true if the last of them is a filler
     */
    synchronized void handled(int bytes, boolean filler) {
        handled++;
        written += bytes;
        if (filler) {
            fillers.add(written - 1);
        }
    }

    /**
     * The line has read bytes; takes the fillers out of them.
     *
     * @param buffer the bytes
     * @param count how many there are
     * @return how many are left, from the beginning of the buffer
     */
    synchronized int taken(byte[] buffer, int count) {
        int kept = 0;
        for (int i = 0; i < count; i++) {
            if (!fillers.isEmpty() && fillers.peek() == read + i) {
                fillers.remove();
            } else {
                buffer[kept++] = buffer[i];
            }
        }
        read = Math.min(read + count, written);
        return kept;
    }

    /** What was on its way did not come, since closing a port throws that away: requests and bytes. */
    synchronized void lost() {
        handled = asked;
        read = written;
        fillers.clear();
    }

    /** {@return true if bytes are on their way to the line, or an earlier request may still bring some} */
    synchronized boolean inFlight() {
        return handled < asked || read < written;
    }

    /** {@return true if no answer will come any more} */
    synchronized boolean over() {
        return handled >= asked && read >= written;
    }
}
