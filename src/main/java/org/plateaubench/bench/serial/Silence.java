package org.plateaubench.bench.serial;

import org.plateaubench.clock.Deadline;

/**
 * What a simulated instrument tells a line out of band: how many requests it has dealt with, and how many bytes it wrote.
 * A request that was dealt with while every byte has been read will not be answered any more, so that a timeout in
 * simulated time needs no real waiting, and bytes that are still on their way are neither missed nor taken for the next
 * answer. Shared by the {@link Pty}s and the {@link Line}s of one instrument; may be used by any thread.
 */
public final class Silence {

    private long asked;
    private long handled;
    private long written;
    private long read;
    private boolean unplugged;

    /** A new pseudo-terminal stands behind the line: nothing was asked or written yet. */
    synchronized void plugged() {
        asked = 0;
        handled = 0;
        written = 0;
        read = 0;
        unplugged = false;
        notifyAll();
    }

    /** The pseudo-terminal is closed: whoever waits must look at the line itself. */
    synchronized void unplugged() {
        unplugged = true;
        notifyAll();
    }

    /** The line is about to send a request or a command. */
    synchronized void asking() {
        asked++;
    }

    /** The instrument dealt with one request, and has written its answer if there is one. */
    synchronized void handled() {
        handled++;
        notifyAll();
    }

    /**
     * The instrument is about to write bytes.
     *
     * @param bytes how many
     */
    synchronized void writing(long bytes) {
        written += bytes;
    }

    /**
     * The line has read bytes.
     *
     * @param bytes how many
     */
    synchronized void read(long bytes) {
        read = Math.min(read + bytes, written);
    }

    /** Bytes that were announced did not come, since closing a port throws away what was on its way. */
    synchronized void lost() {
        read = written;
    }

    /** {@return true if bytes are on their way to the line} */
    synchronized boolean inFlight() {
        return read < written;
    }

    /**
     * Waits until it is known whether bytes are on their way.
     *
     * @param backstop real time after which the instrument counts as silent
     * @return true if the line should read: bytes are on their way, or it was unplugged; false if no answer will come
     */
    synchronized boolean awaitBytes(Deadline backstop) {
        while (!unplugged && read >= written && handled < asked) {
            long left = backstop.leftMillis();
            if (left == 0) {
                return false;
            }
            try {
                wait(left);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
                return false;
            }
        }
        return unplugged || read < written;
    }
}
