package org.plateaubench.bench.serial;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.plateaubench.bench.serial.LineException.Kind;

/** Questions and commands that together may take no longer than one timeout. */
final class Exchange {

    private static final long NANOS_PER_MILLI = 1_000_000L;

    private static final int MOST_SHOWN = 80;

    private final List<String> heard = new ArrayList<>();
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
        return hear(line.ask(request, leftMillis()));
    }

    /** See {@link Line#listen}. */
    String listen() throws LineException {
        return hear(line.listen(leftMillis()));
    }

    private String hear(String answer) {
        heard.add(answer);
        return answer;
    }

    /** {@return every answer so far in quotes, with what cannot be seen written in hexadecimal digits; each cut short} */
    String heard() {
        return heard.stream().map(Exchange::visible).collect(Collectors.joining(" "));
    }

    private static String visible(String answer) {
        StringBuilder text = new StringBuilder("\"");
        for (int i = 0; i < Math.min(answer.length(), MOST_SHOWN); i++) {
            char c = answer.charAt(i);
            text.append(
                    c >= ' ' && c < 0x7f
                            ? c
                            : "\\x" + Integer.toHexString(0x100 | c).substring(1));
        }
        return text.append(answer.length() > MOST_SHOWN ? "...\"" : "\"").toString();
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
