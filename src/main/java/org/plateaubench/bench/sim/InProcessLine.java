package org.plateaubench.bench.sim;

import java.nio.charset.StandardCharsets;
import org.plateaubench.bench.serial.Line;
import org.plateaubench.bench.serial.LineException;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.benchfile.DeviceSpec;

/**
 * A line that calls the instrument itself. It carries the same characters as a serial line, is busy for as long as they
 * would take, and fails in the same words.
 */
final class InProcessLine implements Line {

    private static final long NANOS_PER_MILLI = 1_000_000L;
    private static final long BITS_PER_CHARACTER = 10;

    private final Pty.Instrument instrument;
    private final DeviceSpec.Serial device;
    private volatile boolean gone;
    private volatile long busyNanos;

    InProcessLine(Pty.Instrument instrument, DeviceSpec.Serial device) {
        this.instrument = instrument;
        this.device = device;
    }

    @Override
    public String ask(String request, long timeoutMillis) throws LineException {
        String answer = exchange(request);
        if (answer.isEmpty()) {
            throw timeout("gave no whole answer to \"" + request + "\"", timeoutMillis);
        }
        busy(request, characters(request) + characters(answer), timeoutMillis);
        return answer;
    }

    @Override
    public String listen(long timeoutMillis) throws LineException {
        if (gone) {
            throw hungUp();
        }
        throw timeout("sent no whole line", timeoutMillis);
    }

    @Override
    public void send(String command, long timeoutMillis) throws LineException {
        exchange(command);
        busy(command, characters(command), timeoutMillis);
    }

    private String exchange(String request) throws LineException {
        if (gone) {
            throw hungUp();
        }
        byte[] answer = instrument.answer(request);
        int length = answer.length;
        while (length > 0 && (answer[length - 1] == '\n' || answer[length - 1] == '\r')) {
            length--;
        }
        return new String(answer, 0, length, StandardCharsets.ISO_8859_1);
    }

    private long characters(String line) {
        return line.length() + (long) device.lineEnd().length();
    }

    private void busy(String request, long characters, long timeoutMillis) throws LineException {
        long nanos = characters * BITS_PER_CHARACTER * 1_000_000_000L / device.baud();
        if (nanos > timeoutMillis * NANOS_PER_MILLI) {
            throw timeout("gave no whole answer to \"" + request + "\"", timeoutMillis);
        }
        busyNanos += nanos;
    }

    private LineException timeout(String what, long timeoutMillis) {
        busyNanos += timeoutMillis * NANOS_PER_MILLI;
        return new LineException(
                LineException.Kind.TIMEOUT, device.port() + " " + what + " within " + timeoutMillis + " ms");
    }

    private LineException hungUp() {
        return new LineException(LineException.Kind.GONE, device.port() + " hung up: unplugged, or closed");
    }

    @Override
    public long busyNanos() {
        return busyNanos;
    }

    @Override
    public void close() {
        gone = true;
    }
}
