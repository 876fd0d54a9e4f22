package org.plateaubench.bench.sim;

import java.nio.charset.StandardCharsets;
import org.plateaubench.bench.serial.Line;
import org.plateaubench.bench.serial.LineException;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.benchfile.DeviceSpec;

/**
 * A line that calls the instrument itself. It carries the same characters as a serial line, and is busy for as long as
 * they would take.
 */
final class InProcessLine implements Line {

    private static final long NANOS_PER_MILLI = 1_000_000L;
    private static final long BITS_PER_CHARACTER = 10;

    private final Pty.Instrument instrument;
    private final DeviceSpec.Serial device;
    private volatile boolean gone;
    private long busyNanos;

    InProcessLine(Pty.Instrument instrument, DeviceSpec.Serial device) {
        this.instrument = instrument;
        this.device = device;
    }

    @Override
    public String ask(String request, long timeoutMillis) throws LineException {
        String answer = transfer(request);
        String lineEnd = device.lineEnd();
        if (!answer.endsWith(lineEnd)) {
            busyNanos += timeoutMillis * NANOS_PER_MILLI;
            throw new LineException(
                    LineException.Kind.TIMEOUT,
                    device.name() + " gave no whole answer to \"" + request + "\" within " + timeoutMillis + " ms");
        }
        busy(request.length() + lineEnd.length() + answer.length(), timeoutMillis);
        return answer.substring(0, answer.length() - lineEnd.length());
    }

    @Override
    public String listen(long timeoutMillis) throws LineException {
        check();
        busyNanos += timeoutMillis * NANOS_PER_MILLI;
        throw new LineException(
                LineException.Kind.TIMEOUT, device.name() + " sent no whole line within " + timeoutMillis + " ms");
    }

    @Override
    public void send(String command, long timeoutMillis) throws LineException {
        transfer(command);
        busy(command.length() + device.lineEnd().length(), timeoutMillis);
    }

    private String transfer(String request) throws LineException {
        check();
        return new String(instrument.answer(request), StandardCharsets.ISO_8859_1);
    }

    private void check() throws LineException {
        if (gone) {
            throw new LineException(LineException.Kind.GONE, device.name() + " hung up: unplugged, or closed");
        }
    }

    private void busy(int characters, long timeoutMillis) throws LineException {
        long nanos = characters * BITS_PER_CHARACTER * 1_000_000_000L / device.baud();
        if (nanos > timeoutMillis * NANOS_PER_MILLI) {
            busyNanos += timeoutMillis * NANOS_PER_MILLI;
            throw new LineException(
                    LineException.Kind.TIMEOUT,
                    "the answer of " + device.name() + " takes longer than " + timeoutMillis + " ms");
        }
        busyNanos += nanos;
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
