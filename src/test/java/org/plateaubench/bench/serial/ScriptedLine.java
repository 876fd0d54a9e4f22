package org.plateaubench.bench.serial;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import java.util.function.Function;
import org.plateaubench.bench.serial.LineException.Kind;

/** A line without a port: each request is answered by a function, with any number of lines. A missing one takes its time. */
final class ScriptedLine implements Line {

    final List<String> sent = new ArrayList<>();
    private final Deque<String> arrived = new ArrayDeque<>();
    private final Function<String, List<String>> instrument;
    private long busyNanos;

    ScriptedLine(Function<String, List<String>> instrument) {
        this.instrument = instrument;
    }

    @Override
    public String ask(String request, long timeoutMillis) throws LineException {
        send(request, timeoutMillis);
        return listen(timeoutMillis);
    }

    @Override
    public String listen(long timeoutMillis) throws LineException {
        if (arrived.isEmpty()) {
            busyNanos += timeoutMillis * 1_000_000L;
            throw new LineException(Kind.TIMEOUT, "nothing within " + timeoutMillis + " ms");
        }
        busyNanos += 1_000_000L;
        return arrived.remove();
    }

    @Override
    public void send(String command, long timeoutMillis) {
        sent.add(command);
        arrived.clear();
        arrived.addAll(instrument.apply(command));
    }

    @Override
    public long busyNanos() {
        return busyNanos;
    }

    @Override
    public void close() {}
}
