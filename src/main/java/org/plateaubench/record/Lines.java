package org.plateaubench.record;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.Arrays;

/** Reads a file line by line, as bytes, in bounded memory. */
final class Lines {

    private static final int BUFFER_BYTES = 1 << 16;
    private static final int LONGEST_LINE_BYTES = 1 << 24;

    /** Takes one line. */
    interface Taker {
        /**
         * @param buffer holds the line; may be reused afterwards
         * @param from where it begins
         * @param to where it ends, at its line feed
         */
        void line(byte[] buffer, int from, int to) throws IOException;
    }

    private Lines() {}

    static byte[] withLineFeed(byte[] line) {
        byte[] whole = Arrays.copyOf(line, line.length + 1);
        whole[line.length] = '\n';
        return whole;
    }

    /**
     * Goes through a file.
     *
     * @param file the file; never a link
     * @param place what it is called in a fault
     * @param taker called for each line that ends with a line feed
     * @return how many bytes follow the last line feed
     * @throws RecordFault if a line is longer than 16 MiB
     */
    static long each(Path file, String place, Taker taker) throws IOException {
        byte[] buffer = new byte[BUFFER_BYTES];
        int held = 0;
        try (InputStream in = Files.newInputStream(file, LinkOption.NOFOLLOW_LINKS)) {
            while (true) {
                if (held == buffer.length) {
                    if (held >= LONGEST_LINE_BYTES) {
                        throw new RecordFault(place, "a line is longer than " + LONGEST_LINE_BYTES + " bytes");
                    }
                    buffer = Arrays.copyOf(buffer, buffer.length * 2);
                }
                int got = in.read(buffer, held, buffer.length - held);
                if (got < 0) {
                    return held;
                }
                int from = 0;
                for (int i = held; i < held + got; i++) {
                    if (buffer[i] == '\n') {
                        taker.line(buffer, from, i);
                        from = i + 1;
                    }
                }
                held += got - from;
                System.arraycopy(buffer, from, buffer, 0, held);
            }
        }
    }
}
