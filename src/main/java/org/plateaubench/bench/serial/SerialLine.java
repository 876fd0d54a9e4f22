package org.plateaubench.bench.serial;

import com.fazecast.jSerialComm.SerialPort;
import com.fazecast.jSerialComm.SerialPortInvalidPortException;
import com.sun.jna.Platform;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.Principal;
import java.util.Optional;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.benchfile.DeviceSpec.Parity;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;

/**
 * A line over a serial port: 8 data bits, no flow control, opened for this program alone.
 *
 * <p>It reads in slices of 100 ms and collects bytes until the line is whole, so that no byte is lost at a timeout; its
 * own deadline comes from monotonic time. Two threads guard it: a write that the port does not take is ended by closing
 * the port, and so is a wait when {@link #close()} is called.
 *
 * <p>With a {@link Silence} time is simulated: an answer takes as long as its characters would at the line's baud rate,
 * and a missing one takes the timeout, while really nobody waits.
 */
public final class SerialLine implements Line {

    private static final String SUPERUSERS = "root";
    private static final int SLICE_MILLIS = 100;
    private static final int WATCH_MILLIS = 50;
    private static final int CLOSE_MILLIS = 1000;
    private static final int DRAIN_MILLIS = 250;
    private static final int SLICES_UNTIL_LOST = 10;
    private static final int BACKSTOP_MILLIS = 5000;
    private static final int LONGEST_LINE = 1 << 16;
    private static final long NANOS_PER_MILLI = 1_000_000L;
    private static final long BITS_PER_CHARACTER = 10;

    private static final ScheduledExecutorService WATCHDOGS = Executors.newSingleThreadScheduledExecutor(task -> {
        Thread thread = new Thread(task, "serial write watchdog");
        thread.setDaemon(true);
        return thread;
    });

    private final SerialPort port;
    private final Optional<ExclusiveUse> exclusive;
    private final String path;
    private final int baud;
    private final Framing framing;
    private final Optional<Silence> silence;
    private final SystemClock real = new SystemClock();
    private final byte[] buffer = new byte[4096];
    private final StringBuilder received = new StringBuilder();
    private final Future<?> watchdog;
    private volatile Deadline writing;
    private volatile boolean hungUp;
    private volatile long busyNanos;

    private SerialLine(
            SerialPort port,
            Optional<ExclusiveUse> exclusive,
            String path,
            int baud,
            Framing framing,
            Optional<Silence> silence) {
        this.port = port;
        this.exclusive = exclusive;
        this.path = path;
        this.baud = baud;
        this.framing = framing;
        this.silence = silence;
        this.watchdog =
                WATCHDOGS.scheduleWithFixedDelay(this::watch, WATCH_MILLIS, WATCH_MILLIS, TimeUnit.MILLISECONDS);
    }

    /**
     * Opens a port.
     *
     * @param path path of the port, may be a link to it; resolved anew at each opening
     * @param baud baud rate
     * @param lineEnd what ends a line: line feed, carriage return, or both
     * @param silence what a simulated instrument shares with this line; empty for a real one
     * @return the line, open; the caller closes it
     * @throws LineException if there is no such port, it is in use, may not be opened, or is none
     */
    public static SerialLine open(String path, int baud, String lineEnd, Optional<Silence> silence)
            throws LineException {
        return open(path, baud, Parity.NONE, 1, Framing.lines(lineEnd, Optional.empty()), silence);
    }

    /**
     * Opens a port whose characters and answers may be of another kind.
     *
     * @param path path of the port
     * @param baud baud rate
     * @param parity parity bit of each character
     * @param stopBits stop bits of each character, 1 or 2
     * @param framing where an answer ends
     * @param silence what a simulated instrument shares with this line; empty for a real one
     * @return the line, open; the caller closes it
     * @throws LineException if it cannot be opened
     */
    static SerialLine open(
            String path, int baud, Parity parity, int stopBits, Framing framing, Optional<Silence> silence)
            throws LineException {
        // The library would take another port of the same name from /dev for one that is not there.
        if (!Platform.isWindows() && !Files.exists(Path.of(path))) {
            throw new LineException(Kind.NO_PORT, "there is no port " + path + "; plug the device in and switch it on");
        }
        SerialLibrary.load();
        SerialPort port;
        try {
            port = SerialPort.getCommPort(path);
        } catch (SerialPortInvalidPortException e) {
            throw new LineException(Kind.NO_PORT, "there is no port " + path + ": " + e.getMessage());
        }
        port.setComPortParameters(
                baud,
                8,
                stopBits == 2 ? SerialPort.TWO_STOP_BITS : SerialPort.ONE_STOP_BIT,
                switch (parity) {
                    case NONE -> SerialPort.NO_PARITY;
                    case EVEN -> SerialPort.EVEN_PARITY;
                    case ODD -> SerialPort.ODD_PARITY;
                });
        port.setFlowControl(SerialPort.FLOW_CONTROL_DISABLED);
        port.setComPortTimeouts(SerialPort.TIMEOUT_READ_SEMI_BLOCKING, SLICE_MILLIS, 0);
        if (silence.isEmpty()) {
            // Before opening, so that it is done once while opening. A simulated line counts its bytes instead.
            port.flushIOBuffers();
        }
        if (!port.openPort(0)) {
            throw refusal(path, port.getLastErrorCode(), System.getProperty("user.name"));
        }
        // The number of a pseudo-terminal changes from run to run, and messages reach the record.
        return silence.isPresent()
                ? new SerialLine(port, Optional.empty(), "simulated", baud, framing, silence)
                : new SerialLine(port, Optional.of(ExclusiveUse.of(path)), path, baud, framing, silence);
    }

    /**
     * Says why a port could not be opened.
     *
     * @param path path of the port
     * @param error the system's error number
     * @param user who tried
     * @return the failure
     */
    static LineException refusal(String path, int error, String user) {
        return switch (error) {
            case 2 -> new LineException(Kind.IN_USE, path + " is open already in this program");
            case 11, 16, 35 ->
                new LineException(Kind.IN_USE, path + " is in use by another program; end that program and try again");
            case 1, 13 -> new LineException(Kind.PERMISSION, notAllowed(path, user, group(path)));
            case 25 -> new LineException(Kind.UNUSABLE, path + " is no serial port");
            default ->
                new LineException(Kind.UNUSABLE, path + " cannot be opened, the system's error number is " + error);
        };
    }

    /** Names the group to join; the superusers' own is none to join. */
    static String notAllowed(String path, String user, String group) {
        return "user " + user + " may not open " + path + "; it belongs to group " + group + ". "
                + (group.equals(SUPERUSERS)
                        ? "Let an administrator give it to a group that you are in, such as dialout, by a udev rule;"
                                + " hardware-notes/serial.md shows one"
                        : "Join it with 'sudo usermod -a -G " + group + " " + user
                                + "', then log out and in again: a group counts from the next login");
    }

    private static String group(String path) {
        try {
            return ((Principal) Files.getAttribute(Path.of(path), "posix:group")).getName();
        } catch (IOException | UnsupportedOperationException e) {
            return "dialout";
        }
    }

    @Override
    public String ask(String request, long timeoutMillis) throws LineException {
        return exchange(Optional.of(request), true, timeoutMillis);
    }

    @Override
    public String listen(long timeoutMillis) throws LineException {
        return exchange(Optional.empty(), true, timeoutMillis);
    }

    @Override
    public void send(String command, long timeoutMillis) throws LineException {
        exchange(Optional.of(command), false, timeoutMillis);
    }

    private String exchange(Optional<String> request, boolean answered, long timeoutMillis) throws LineException {
        long began = real.nanos();
        try {
            Deadline deadline = Deadline.afterMillis(silence.isPresent() ? BACKSTOP_MILLIS : timeoutMillis);
            Optional<String> sent = request.map(framing::framed);
            if (sent.isPresent()) {
                dropStale();
                write(sent.get(), deadline);
            }
            String frame = answered ? awaitAnswer(deadline, request, timeoutMillis) : "";
            if (silence.isPresent()) {
                long characters = sent.map(String::length).orElse(0) + frame.length();
                long transferNanos = characters * BITS_PER_CHARACTER * 1_000_000_000L / baud;
                if (transferNanos > timeoutMillis * NANOS_PER_MILLI) {
                    throw noAnswer(request, timeoutMillis);
                }
                busyNanos += transferNanos;
            }
            return framing.content(frame);
        } catch (LineException e) {
            if (silence.isPresent() && e.kind() == Kind.TIMEOUT) {
                busyNanos += timeoutMillis * NANOS_PER_MILLI;
            }
            throw e;
        } finally {
            if (silence.isEmpty()) {
                busyNanos += real.nanos() - began;
            }
        }
    }

    private void dropStale() throws LineException {
        int dropped = 0;
        for (int slices = 0; dropped < LONGEST_LINE && available(); slices++) {
            dropped += read();
            if (silence.isPresent() && slices == SLICES_UNTIL_LOST) {
                silence.get().lost();
            }
        }
        received.setLength(0);
    }

    private boolean available() throws LineException {
        if (silence.isPresent()) {
            return silence.get().inFlight();
        }
        int count = port.bytesAvailable();
        if (count < 0) {
            throw gone();
        }
        return count > 0;
    }

    private void write(String sent, Deadline deadline) throws LineException {
        byte[] bytes = sent.getBytes(StandardCharsets.ISO_8859_1);
        silence.ifPresent(Silence::asking);
        writing = deadline;
        int count = port.writeBytes(bytes, bytes.length);
        writing = null;
        if (hungUp || count != bytes.length) {
            throw gone();
        }
    }

    /** Waits for an answer; an empty one is none. */
    private String awaitAnswer(Deadline deadline, Optional<String> request, long timeoutMillis) throws LineException {
        int searched = 0;
        while (true) {
            int end = framing.end(received, searched);
            if (end >= 0) {
                String frame = received.substring(0, end);
                received.delete(0, end);
                searched = 0;
                if (!framing.content(frame).isEmpty()) {
                    return frame;
                }
            } else {
                searched = received.length();
                if (deadline.passed()
                        || searched > LONGEST_LINE
                        || silence.map(Silence::over).orElse(false)) {
                    throw noAnswer(request, timeoutMillis);
                }
                read();
            }
        }
    }

    /** Reads what there is, waiting for one slice at the most. */
    private int read() throws LineException {
        int count = port.readBytes(buffer, buffer.length);
        if (count < 0) {
            throw gone();
        }
        int kept = silence.isPresent() ? silence.get().taken(buffer, count) : count;
        received.append(new String(buffer, 0, kept, StandardCharsets.ISO_8859_1));
        return count;
    }

    private LineException noAnswer(Optional<String> request, long timeoutMillis) {
        String what = request.map(r -> "gave no whole answer to \"" + r + "\"").orElse("sent no whole line");
        String found = received.length() == 0 ? "" : ", only " + received.length() + " characters without a line end";
        return new LineException(Kind.TIMEOUT, path + " " + what + " within " + timeoutMillis + " ms" + found);
    }

    private LineException gone() {
        return new LineException(
                Kind.GONE,
                path + (hungUp ? " took no bytes in time and was closed" : " hung up: unplugged, or closed"));
    }

    private void watch() {
        Deadline deadline = writing;
        if (deadline != null && deadline.passed()) {
            hungUp = true;
            closePort();
        }
    }

    @Override
    public long busyNanos() {
        return busyNanos;
    }

    @Override
    public void close() {
        watchdog.cancel(false);
        // Closing throws away what was not sent yet, which may be the command that makes the bench safe.
        Deadline drained = Deadline.afterMillis(DRAIN_MILLIS);
        while (port.bytesAwaitingWrite() > 0 && !drained.passed()) {
            Deadline.afterMillis(1).await();
        }
        closePort();
    }

    /** Closes the port on a thread of its own, since a driver can hang in it. */
    private void closePort() {
        Thread closer = new Thread(
                () -> {
                    port.closePort();
                    exclusive.ifPresent(ExclusiveUse::close);
                },
                "closing " + path);
        closer.setDaemon(true);
        closer.start();
        try {
            closer.join(CLOSE_MILLIS);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }
}
