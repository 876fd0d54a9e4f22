package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.plateaubench.Wants;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;

/** Regression tests of the line in simulated time: a timeout is exact, costs no waiting, and loses no byte. */
@Timeout(20)
class SimulatedLineTest {

    private static final byte[] NOTHING = new byte[0];
    private static final long MILLI = 1_000_000L;

    private final Silence silence = new Silence();
    private Pty pty;

    @BeforeEach
    void makeTerminal() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        pty = Pty.open(silence);
    }

    @AfterEach
    void closeTerminal() {
        if (pty != null) {
            pty.close();
        }
    }

    private SerialLine line(int baud) throws LineException {
        return SerialLine.open(pty.path(), baud, "\n", Optional.of(silence));
    }

    private static byte[] bytes(String text) {
        return text.getBytes(StandardCharsets.ISO_8859_1);
    }

    @Test
    void anAnswerTakesTheTimeOfItsCharacters() throws Exception {
        pty.serve(request -> Pty.line("12345"));
        try (SerialLine line = line(9600)) {
            line.ask("q", 300);
            // "q", "12345" and two line ends are 8 characters of 10 bits.
            assertEquals(8 * 10 * 1_000_000_000L / 9600, line.busyNanos());
        }
    }

    @Test
    void aHundredTimeoutsTakeTheirSimulatedTimeAndHardlyAnyRealTime() throws Exception {
        pty.serve(request -> NOTHING);
        SystemClock clock = new SystemClock();
        try (SerialLine line = line(115200)) {
            for (int i = 0; i < 100; i++) {
                assertEquals(
                        Kind.TIMEOUT,
                        assertThrows(LineException.class, () -> line.ask("q", 300))
                                .kind());
            }
            assertEquals(100 * 300 * MILLI, line.busyNanos());
            assertTrue(clock.nanos() < 10_000 * MILLI);
        }
    }

    @Test
    void anAnswerTooLongForItsTimeIsATimeout() throws Exception {
        pty.serve(request -> Pty.line("x".repeat(400)));
        try (SerialLine line = line(9600)) {
            assertEquals(
                    Kind.TIMEOUT,
                    assertThrows(LineException.class, () -> line.ask("q", 300)).kind());
            assertEquals(300 * MILLI, line.busyNanos());
        }
    }

    @Test
    void halfAnAnswerNeverGetsIntoTheNextOne() throws Exception {
        pty.serve(request -> request.equals("half") ? bytes("28.") : Pty.line("31.5"));
        try (SerialLine line = line(115200)) {
            for (int i = 0; i < 200; i++) {
                assertThrows(LineException.class, () -> line.ask("half", 300));
                assertEquals("31.5", line.ask("whole", 300));
            }
        }
    }

    @Test
    void aLateAnswerIsDroppedHoweverLateItArrives() throws Exception {
        pty.serve(request -> request.equals("slow") ? NOTHING : Pty.line("new"));
        try (SerialLine line = line(115200)) {
            for (int i = 0; i < 200; i++) {
                assertThrows(LineException.class, () -> line.ask("slow", 300));
                pty.write(Pty.line("late"));
                assertEquals("new", line.ask("fast", 300));
            }
        }
    }

    @Test
    void commandsWithoutAnswerAreNoSilence() throws Exception {
        pty.serve(request -> request.endsWith("?") ? Pty.line("1") : NOTHING);
        try (SerialLine line = line(115200)) {
            for (int i = 0; i < 200; i++) {
                line.send("SET 1", 300);
                assertEquals("1", line.ask("SET?", 300));
            }
        }
    }

    @Test
    void pullingThePlugEndsTheWaitAndANewTerminalStartsAfresh() throws Exception {
        pty.serve(request -> {
            pty.close();
            return NOTHING;
        });
        try (SerialLine line = line(115200)) {
            assertEquals(
                    Kind.GONE,
                    assertThrows(LineException.class, () -> line.ask("q", 300)).kind());
        }
        pty = Pty.open(silence);
        pty.write(Pty.line("booting"));
        pty.serve(request -> Pty.line("back"));
        try (SerialLine line = line(115200)) {
            assertEquals("back", line.ask("q", 300));
        }
    }

    @Test
    void openingAgainAfterBytesWereLostGoesOn() throws Exception {
        pty.serve(request -> request.equals("half") ? bytes("28.") : Pty.line("31.5"));
        try (SerialLine line = line(115200)) {
            line.send("half", 300);
        }
        try (SerialLine line = line(115200)) {
            assertEquals("31.5", line.ask("whole", 300));
        }
    }

    @Test
    void anAnswerThatComesAfterTheLineWasOpenedAgainDoesNotGetIntoTheNext() throws Exception {
        CountDownLatch opened = new CountDownLatch(1);
        pty.serve(request -> {
            if (request.equals("half")) {
                Deadline late = Deadline.afterMillis(2000);
                while (opened.getCount() > 0 && !late.passed()) {
                    Deadline.afterMillis(1).await();
                }
                // The next line has been told to ask by now.
                Deadline.afterMillis(20).await();
                return bytes("28.");
            }
            return Pty.line("31.5");
        });
        try (SerialLine line = line(115200)) {
            line.send("half", 300);
        }
        try (SerialLine line = line(115200)) {
            opened.countDown();
            assertEquals("31.5", line.ask("whole", 300));
        }
    }
}
