package org.plateaubench.watch;

import com.sun.net.httpserver.HttpExchange;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;

/**
 * One browser that follows a night by server-sent events. What it has not taken yet waits in a bounded queue; when that
 * is full the browser is let go, and may come back for a fresh beginning.
 */
final class Client {

    static final int MOST_WAITING = 128;
    private static final long BEAT_MILLIS = 4000;
    private static final byte[] BEAT = event("beat", "{}");
    private static final byte[] END = {};

    private final HttpExchange exchange;
    private final BlockingQueue<byte[]> waiting = new ArrayBlockingQueue<>(MOST_WAITING);
    private volatile boolean open = true;
    private Thread serving;

    Client(HttpExchange exchange) {
        this.exchange = exchange;
    }

    /** One event of the stream (WHATWG HTML, "Server-sent events"); the data is one line. */
    static byte[] event(String name, String data) {
        return ("event: " + name + "\ndata: " + data + "\n\n").getBytes(StandardCharsets.UTF_8);
    }

    /** Lets an event wait for the browser; never waits itself. False if the browser is let go, or was already. */
    boolean offer(byte[] event) {
        if (open && !waiting.offer(event)) {
            leave();
        }
        return open;
    }

    /** Ends the stream once what waits has been sent. */
    void finish() {
        if (!waiting.offer(END)) {
            leave();
        }
    }

    /**
     * Ends the stream at once, even while a write is stuck. Closing the exchange from here would wait for that write; an
     * interrupt closes its channel instead.
     */
    synchronized void leave() {
        open = false;
        if (serving != null) {
            serving.interrupt();
        }
    }

    private synchronized void serves(Thread thread) {
        serving = thread;
        if (thread == null) {
            Thread.interrupted(); // the thread goes back to others; none interrupts it for this browser any more
        }
    }

    /** Sends what waits until the browser leaves or is let go. */
    void serve() {
        serves(Thread.currentThread());
        try (OutputStream out = exchange.getResponseBody()) {
            while (open) {
                byte[] event = waiting.poll(BEAT_MILLIS, TimeUnit.MILLISECONDS);
                if (event == END) {
                    return;
                }
                out.write(event == null ? BEAT : event);
                out.flush();
            }
        } catch (IOException | InterruptedException e) {
            // it has gone, or is let go
        } finally {
            open = false;
            exchange.close();
            serves(null);
        }
    }
}
