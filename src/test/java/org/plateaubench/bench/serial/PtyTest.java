package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.DataInputStream;
import java.io.FileInputStream;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.plateaubench.Wants;

/** Regression tests of pseudo-terminals, through plain file streams. */
@Timeout(20)
class PtyTest {

    @BeforeEach
    void needsPseudoTerminals() {
        Wants.that(Pty.supported(), "pseudo-terminals");
    }

    @Test
    void servesOneLineAtATimeWhateverTheLineEnd() throws Exception {
        List<String> asked = new CopyOnWriteArrayList<>();
        try (Pty pty = Pty.open();
                FileOutputStream out = new FileOutputStream(pty.path());
                FileInputStream in = new FileInputStream(pty.path())) {
            pty.serve(request -> {
                asked.add(request);
                return request.equals("silent") ? new byte[0] : Pty.line("re " + request);
            });
            out.write("a\r\nsilent\nb\rc\n".getBytes(StandardCharsets.US_ASCII));
            assertArrayEquals("re a\nre b\nre c\n".getBytes(StandardCharsets.US_ASCII), read(in, 15));
        }
        assertEquals(List.of("a", "silent", "b", "c"), asked);
    }

    @Test
    void carriesEveryByteUnchangedBothWays() throws Exception {
        byte[] all = new byte[256];
        for (int i = 0; i < all.length; i++) {
            all[i] = (byte) i;
        }
        try (Pty pty = Pty.open();
                FileOutputStream out = new FileOutputStream(pty.path());
                FileInputStream in = new FileInputStream(pty.path())) {
            pty.write(all);
            assertArrayEquals(all, read(in, 256));
            out.write(all);
            assertArrayEquals(all, pty.read());
        }
    }

    @Test
    void staysAliveBetweenClients() throws Exception {
        try (Pty pty = Pty.open()) {
            pty.serve(request -> Pty.line(request));
            for (int client = 0; client < 3; client++) {
                try (FileOutputStream out = new FileOutputStream(pty.path());
                        FileInputStream in = new FileInputStream(pty.path())) {
                    out.write(("hello " + client + "\n").getBytes(StandardCharsets.US_ASCII));
                    assertEquals("hello " + client + "\n", new String(read(in, 8), StandardCharsets.US_ASCII));
                }
            }
        }
    }

    @Test
    @SuppressWarnings("try") // the instrument closes its own pseudo-terminal: that is the case under test
    void closingEndsAClientsReadAtOnceAlsoFromTheInstrumentItself() throws Exception {
        try (Pty pty = Pty.open();
                FileOutputStream out = new FileOutputStream(pty.path());
                FileInputStream in = new FileInputStream(pty.path())) {
            pty.serve(request -> {
                pty.close();
                return Pty.line("too late");
            });
            out.write('\n');
            out.write("x\n".getBytes(StandardCharsets.US_ASCII));
            assertEquals(-1, readOrEnd(in));
        }
    }

    @Test
    void closingLeavesNoDescriptorOpen() throws Exception {
        Path descriptors = Path.of("/proc/self/fd");
        assumeTrue(Files.isDirectory(descriptors));
        long before = countTerminals(descriptors);
        for (int i = 0; i < 20; i++) {
            Pty pty = Pty.open();
            pty.serve(request -> new byte[0]);
            assertNotEquals(before, countTerminals(descriptors));
            pty.close();
            pty.close();
        }
        assertEquals(before, countTerminals(descriptors));
    }

    private static byte[] read(InputStream in, int count) throws Exception {
        byte[] bytes = new byte[count];
        new DataInputStream(in).readFully(bytes);
        return bytes;
    }

    /** The system tells a client of a closed master either the end of the file or an input error. */
    private static int readOrEnd(InputStream in) {
        try {
            return in.read();
        } catch (IOException e) {
            return -1;
        }
    }

    private static long countTerminals(Path descriptors) throws Exception {
        long count = 0;
        try (var list = Files.list(descriptors)) {
            for (Path p : list.toList()) {
                if (Files.isSymbolicLink(p)
                        && Files.readSymbolicLink(p).toString().contains("/pt")) {
                    count++;
                }
            }
        }
        return count;
    }
}
