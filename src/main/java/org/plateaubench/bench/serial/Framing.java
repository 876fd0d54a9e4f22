package org.plateaubench.bench.serial;

import java.util.Optional;
import org.plateaubench.benchfile.DeviceSpec;

/** Where an answer ends on a line. Every byte is one character of ISO 8859-1. */
interface Framing {

    /** Stands for an answer whose checksum is wrong; there is no number in it, so that it becomes none. */
    String WRONG_CHECKSUM = "?wrong checksum";

    /**
     * Makes a request ready to be sent.
     *
     * @param request what is asked
     * @return what is sent
     */
    String framed(String request);

    /**
     * Looks for the end of an answer.
     *
     * @param received what has arrived, from the beginning of the answer on
     * @param searched how much of it was looked at before
     * @return the index behind the answer's last character, or -1 if it is not whole yet
     */
    int end(StringBuilder received, int searched);

    /**
     * Takes an answer out of its frame.
     *
     * @param frame a whole answer as it arrived
     * @return the answer itself; empty if there is nothing in it
     */
    String content(String frame);

    /**
     * Lines of text. Instruments differ in which of carriage return and line feed they put around a line, and in which
     * order; both are taken off.
     *
     * @param lineEnd what is sent behind a request; its last character ends an answer
     * @param checksum what each line carries behind it, if it does
     * @return the framing; its content of an answer whose checksum is wrong is {@link #WRONG_CHECKSUM}
     */
    static Framing lines(String lineEnd, Optional<DeviceSpec.Checksum> checksum) {
        char last = lineEnd.charAt(lineEnd.length() - 1);
        return new Framing() {
            @Override
            public String framed(String request) {
                return checksum.map(c -> c.appended(request)).orElse(request) + lineEnd;
            }

            @Override
            public int end(StringBuilder received, int searched) {
                for (int i = searched; i < received.length(); i++) {
                    if (received.charAt(i) == last) {
                        return i + 1;
                    }
                }
                return -1;
            }

            @Override
            public String content(String frame) {
                int begin = 0;
                int end = frame.length();
                while (begin < end && isLineEnd(frame.charAt(begin))) {
                    begin++;
                }
                while (end > begin && isLineEnd(frame.charAt(end - 1))) {
                    end--;
                }
                String line = frame.substring(begin, end);
                return line.isEmpty() || checksum.isEmpty()
                        ? line
                        : checksum.get().checked(line).orElse(WRONG_CHECKSUM);
            }

            private boolean isLineEnd(char c) {
                return c == '\r' || c == '\n';
            }
        };
    }
}
