package org.plateaubench.bench.load;

import java.io.FileOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.Arrays;

/**
 * The output of a load, kept in a file up to a size. What comes after that, or after a fault of the disk, is taken and
 * dropped, so that the load is never held up. The last line is remembered in any case.
 */
final class BoundedLog {

    private static final int TAIL_BYTES = 512;
    private static final int LAST_LINE_CHARS = 200;

    private final OutputStream file;
    private final long limitBytes;
    private long leftBytes;
    private boolean full;
    private byte[] tail = {};
    private String fault = "";

    /**
     * Makes the file.
     *
     * @param path where; what is there is continued
     * @param limitBytes how many bytes of output are kept
     * @throws IOException if it cannot be made
     */
    BoundedLog(Path path, long limitBytes) throws IOException {
        this.file = new FileOutputStream(path.toFile(), true);
        this.limitBytes = limitBytes;
        this.leftBytes = limitBytes;
    }

    /** Takes output of the load. */
    synchronized void output(byte[] bytes, int length) {
        byte[] joined = Arrays.copyOf(tail, tail.length + length);
        System.arraycopy(bytes, 0, joined, tail.length, length);
        tail = Arrays.copyOfRange(joined, Math.max(0, joined.length - TAIL_BYTES), joined.length);
        keep(bytes, length);
    }

    /** Adds a line of our own, in brackets. */
    synchronized void note(String line) {
        byte[] bytes = ("[" + line + "]\n").getBytes(StandardCharsets.UTF_8);
        keep(bytes, bytes.length);
    }

    private void keep(byte[] bytes, int length) {
        if (full || !fault.isEmpty()) {
            return;
        }
        int part = (int) Math.min(length, leftBytes);
        leftBytes -= part;
        full = part < length;
        try {
            file.write(bytes, 0, part);
            if (full) {
                file.write(("\n[cut here: output after the first " + limitBytes + " bytes is not kept]\n")
                        .getBytes(StandardCharsets.UTF_8));
            }
        } catch (IOException e) {
            fault = "; its output could not be kept: " + e.getMessage();
        }
    }

    /** {@return why output was not kept, to be put behind a message; empty if nothing was wrong} */
    synchronized String fault() {
        return fault;
    }

    /** {@return the last line of the load's output that is not blank, printable, shortened; empty if there was none} */
    synchronized String lastLine() {
        String[] lines = new String(tail, StandardCharsets.UTF_8).strip().split("\\R");
        String last = lines[lines.length - 1].replaceAll("\\p{Cntrl}", " ").strip();
        return last.length() <= LAST_LINE_CHARS ? last : last.substring(last.length() - LAST_LINE_CHARS);
    }
}
