package org.plateaubench.bench.serial;

import com.sun.jna.Memory;
import com.sun.jna.Native;
import com.sun.jna.Platform;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Optional;

/**
 * A pseudo-terminal in place of a serial line: whoever opens {@link #path()} talks to the instrument that this program
 * plays. It is raw, carries every byte, and stays alive between clients. Closing it is what pulling the plug is to a real
 * line. Linux and macOS only, see {@link #supported()}. Any thread may write and close.
 */
public final class Pty implements AutoCloseable {

    private static final int READ_POLL_MILLIS = 1000;
    private static final int WRITE_POLL_MILLIS = 20;
    private static final int CHUNK = 4096;
    private static final int LONGEST_REQUEST = 1 << 16;

    private final int master;
    private final int slave;
    private final String path;
    private final Optional<Silence> silence;
    private boolean closed;

    private Pty(int master, int slave, String path, Optional<Silence> silence) {
        this.master = master;
        this.slave = slave;
        this.path = path;
        this.silence = silence;
    }

    /** What an instrument answers. */
    @FunctionalInterface
    public interface Instrument {
        /**
         * Deals with one request, on the pseudo-terminal's own thread.
         *
         * @param request one line in ISO 8859-1, without its line end
         * @return what to send back, see {@link #line(String)}; empty for no answer
         */
        byte[] answer(String request);
    }

    /** {@return true if this computer has pseudo-terminals that this class can make} */
    public static boolean supported() {
        return Platform.isLinux() || Platform.isMac();
    }

    /**
     * Makes a pseudo-terminal.
     *
     * @return the open pseudo-terminal; the caller closes it
     * @throws IOException if the system gives none
     */
    public static Pty open() throws IOException {
        return open(Optional.empty());
    }

    /**
     * Makes a pseudo-terminal that tells its line out of band when no answer will come.
     *
     * @param silence shared with the line
     * @return the open pseudo-terminal; the caller closes it
     * @throws IOException if the system gives none
     */
    public static Pty open(Silence silence) throws IOException {
        return open(Optional.of(silence));
    }

    private static Pty open(Optional<Silence> silence) throws IOException {
        if (!supported()) {
            throw new IOException(
                    "pseudo-terminals are made on Linux and macOS only, not on " + System.getProperty("os.name"));
        }
        int master = LibC.posix_openpt(LibC.READ_WRITE | LibC.NO_TERMINAL | LibC.CLOSE_ON_EXEC | LibC.NON_BLOCKING);
        if (master < 0) {
            throw failure("posix_openpt");
        }
        int slave = -1;
        try {
            if (LibC.grantpt(master) != 0) {
                throw failure("grantpt");
            }
            if (LibC.unlockpt(master) != 0) {
                throw failure("unlockpt");
            }
            byte[] name = new byte[128];
            if (LibC.ptsname_r(master, name, name.length) != 0) {
                throw failure("ptsname_r");
            }
            String path = Native.toString(name, StandardCharsets.US_ASCII.name());
            // Held for as long as the pseudo-terminal lives: without it, reading the master fails between clients.
            slave = LibC.open(path, LibC.READ_WRITE | LibC.NO_TERMINAL | LibC.CLOSE_ON_EXEC | LibC.NON_BLOCKING);
            if (slave < 0) {
                throw failure("opening " + path);
            }
            Memory termios = new Memory(256);
            if (LibC.tcgetattr(slave, termios) != 0) {
                throw failure("tcgetattr on " + path);
            }
            LibC.cfmakeraw(termios);
            if (LibC.tcsetattr(slave, 0, termios) != 0) {
                throw failure("tcsetattr on " + path);
            }
            silence.ifPresent(Silence::plugged);
            return new Pty(master, slave, path, silence);
        } catch (IOException e) {
            if (slave >= 0) {
                LibC.close(slave);
            }
            LibC.close(master);
            throw e;
        }
    }

    /**
     * Makes a line of answer.
     *
     * @param text ISO 8859-1
     * @return the text with a line feed
     */
    public static byte[] line(String text) {
        return (text + "\n").getBytes(StandardCharsets.ISO_8859_1);
    }

    /** {@return the path that a client opens} */
    public String path() {
        return path;
    }

    /**
     * Starts to serve an instrument, on a daemon thread, until {@link #close()}. A request ends at a line feed or a
     * carriage return; empty lines are passed over. To be called once.
     *
     * @param instrument what answers
     */
    public void serve(Instrument instrument) {
        Thread thread = new Thread(() -> serveLines(instrument), "pty " + path);
        thread.setDaemon(true);
        thread.start();
    }

    private void serveLines(Instrument instrument) {
        ByteArrayOutputStream request = new ByteArrayOutputStream();
        for (byte[] chunk = read(); chunk != null; chunk = read()) {
            for (byte b : chunk) {
                if (!isLineEnd(b)) {
                    request.write(b);
                    if (request.size() > LONGEST_REQUEST) {
                        request.reset();
                    }
                } else if (request.size() > 0) {
                    String text = request.toString(StandardCharsets.ISO_8859_1);
                    request.reset();
                    answer(instrument.answer(text));
                }
            }
        }
    }

    private void answer(byte[] answer) {
        boolean whole = answer.length > 0 && isLineEnd(answer[answer.length - 1]);
        byte[] bytes = whole ? answer : Arrays.copyOf(answer, answer.length + (silence.isPresent() ? 1 : 0));
        synchronized (this) {
            if (closed) {
                return;
            }
            silence.ifPresent(s -> s.handled(bytes.length, !whole));
        }
        writeAll(bytes);
    }

    private static boolean isLineEnd(byte b) {
        return b == '\n' || b == '\r';
    }

    /**
     * Reads what a client sent, waiting for it.
     *
     * @return at least one byte, or null once this pseudo-terminal is closed
     */
    byte[] read() {
        Memory poll = new Memory(8);
        byte[] buffer = new byte[CHUNK];
        while (true) {
            await(poll, LibC.POLL_IN, READ_POLL_MILLIS);
            synchronized (this) {
                if (closed) {
                    return null;
                }
                long count = LibC.read(master, buffer, buffer.length);
                if (count > 0) {
                    return Arrays.copyOf(buffer, (int) count);
                }
            }
        }
    }

    /**
     * Writes bytes to the client, as an instrument does of its own accord. Waits while the client does not read; does
     * nothing once this pseudo-terminal is closed.
     *
     * @param bytes what to write; may be empty
     */
    public void write(byte[] bytes) {
        synchronized (this) {
            if (closed) {
                return;
            }
            silence.ifPresent(s -> s.writing(bytes.length));
        }
        writeAll(bytes);
    }

    private void writeAll(byte[] bytes) {
        byte[] left = bytes;
        while (left.length > 0) {
            synchronized (this) {
                if (closed) {
                    return;
                }
                long count = LibC.write(master, left, left.length);
                if (count > 0) {
                    left = Arrays.copyOfRange(left, (int) count, left.length);
                }
            }
            if (left.length > 0) {
                await(new Memory(8), LibC.POLL_OUT, WRITE_POLL_MILLIS);
            }
        }
    }

    /** Polls outside the lock, so that closing need not wait for it; the time limit bounds a poll of a closed master. */
    private void await(Memory poll, short events, int millis) {
        poll.setInt(0, master);
        poll.setShort(4, events);
        poll.setShort(6, (short) 0);
        LibC.poll(poll, 1, millis);
    }

    /** Pulls the plug: the client reads the end of the line at once. May be called again. */
    @Override
    public void close() {
        synchronized (this) {
            if (closed) {
                return;
            }
            closed = true;
            // Ends a poll of the master at once; until then the system would keep the master open.
            LibC.write(slave, new byte[] {0}, 1);
            LibC.close(slave);
            LibC.close(master);
        }
    }

    private static IOException failure(String call) {
        return new IOException(call + " failed, error number " + Native.getLastError());
    }

    /** The C library's calls, bound when first used. */
    private static final class LibC {

        static final int READ_WRITE = 2;
        static final int NO_TERMINAL = Platform.isMac() ? 0x20000 : 0x100;
        static final int CLOSE_ON_EXEC = Platform.isMac() ? 0x1000000 : 0x80000;
        static final int NON_BLOCKING = Platform.isMac() ? 0x4 : 0x800;
        static final short POLL_IN = 1;
        static final short POLL_OUT = 4;

        static {
            Native.register(LibC.class, Platform.C_LIBRARY_NAME);
        }

        static native int posix_openpt(int flags);

        static native int grantpt(int fd);

        static native int unlockpt(int fd);

        static native int ptsname_r(int fd, byte[] name, long size);

        static native int open(String path, int flags);

        static native int close(int fd);

        static native long read(int fd, byte[] buffer, long size);

        static native long write(int fd, byte[] buffer, long size);

        static native int poll(Memory descriptors, long count, int timeoutMillis);

        static native int tcgetattr(int fd, Memory termios);

        static native int tcsetattr(int fd, int action, Memory termios);

        static native void cfmakeraw(Memory termios);
    }
}
