package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Wants;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.clock.SystemClock;

/** Regression tests of the line on real pseudo-terminals, in real time. */
@Timeout(20)
class SerialLineTest {

    private static final byte[] NOTHING = new byte[0];

    private Pty pty;

    @BeforeEach
    void makeTerminal() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        pty = Pty.open();
    }

    @AfterEach
    void closeTerminal() {
        if (pty != null) {
            pty.close();
        }
    }

    private SerialLine line() throws LineException {
        return SerialLine.open(pty.path(), 115200, "\n", Optional.empty());
    }

    private static byte[] bytes(String text) {
        return text.getBytes(StandardCharsets.ISO_8859_1);
    }

    private static LineException failure(Kind kind, org.junit.jupiter.api.function.Executable call) {
        LineException e = assertThrows(LineException.class, call);
        assertEquals(kind, e.kind(), e.getMessage());
        return e;
    }

    @Test
    void asksAndGetsAnswersInOrder() throws Exception {
        pty.serve(request -> Pty.line("re " + request));
        try (SerialLine line = line()) {
            for (int i = 0; i < 100; i++) {
                assertEquals("re q" + i, line.ask("q" + i, 1000));
            }
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"\n", "\r", "\r\n"})
    void speaksEveryLineEnd(String lineEnd) throws Exception {
        pty.serve(request -> bytes("re " + request + lineEnd));
        try (SerialLine line = SerialLine.open(pty.path(), 9600, lineEnd, Optional.empty())) {
            assertEquals("re a", line.ask("a", 1000));
            assertEquals("re b", line.ask("b", 1000));
        }
    }

    @Test
    void keepsNulAndHighBytesOfAnAnswerAsTheyAre() throws Exception {
        pty.serve(request -> bytes("2\0008.\u00ff5\n"));
        try (SerialLine line = line()) {
            assertEquals("2\0008.\u00ff5", line.ask("q", 1000));
        }
    }

    @Test
    void joinsAnAnswerThatComesInPieces() throws Exception {
        pty.serve(request -> {
            pty.write(bytes("2"));
            pty.write(bytes("8."));
            pty.write(bytes("5\r"));
            return bytes("\n");
        });
        try (SerialLine line = line()) {
            assertEquals("28.5", line.ask("q", 1000));
        }
    }

    @Test
    void givesUpSoonAfterItsDeadlineAlsoIfHalfAnAnswerCame() throws Exception {
        pty.serve(request -> bytes("28."));
        SystemClock clock = new SystemClock();
        try (SerialLine line = line()) {
            long began = clock.nanos();
            LineException e = failure(Kind.TIMEOUT, () -> line.ask("q", 500));
            long millis = (clock.nanos() - began) / 1_000_000;
            assertEquals(
                    pty.path() + " gave no whole answer to \"q\" within 500 ms, only 3 characters without a line end",
                    e.getMessage());
            // Blocking reads of the library take up to 997 ms here.
            assertTrue(millis >= 500 && millis < 800, millis + " ms");
            assertTrue(line.busyNanos() >= 500_000_000L);
        }
    }

    @Test
    void neverTakesALateAnswerForTheNextOne() throws Exception {
        pty.serve(request -> request.equals("slow") ? NOTHING : Pty.line("new"));
        try (SerialLine line = line()) {
            failure(Kind.TIMEOUT, () -> line.ask("slow", 100));
            pty.write(bytes("late\nlater\nhalf of an"));
            assertEquals("late", line.listen(1000));
            assertEquals("new", line.ask("fast", 1000));
        }
    }

    @Test
    void throwsAwayWhatWasSentBeforeItWasOpened() throws Exception {
        pty.write(bytes("boot loader 1.0\nready\nMEAS"));
        pty.serve(request -> Pty.line("re " + request));
        try (SerialLine line = line()) {
            assertEquals("re q", line.ask("q", 1000));
        }
    }

    @Test
    void aPeerThatBabblesWithoutALineEndIsATimeout() throws Exception {
        byte[] babble = new byte[8192];
        pty.serve(request -> babble);
        try (SerialLine line = line()) {
            failure(Kind.TIMEOUT, () -> line.ask("q", 150));
        }
    }

    @Test
    void pullingThePlugEndsAWaitAtOnce() throws Exception {
        pty.serve(request -> {
            pty.close();
            return NOTHING;
        });
        SystemClock clock = new SystemClock();
        try (SerialLine line = line()) {
            long began = clock.nanos();
            LineException e = failure(Kind.GONE, () -> line.ask("q", 10_000));
            assertEquals(pty.path() + " hung up: unplugged, or closed", e.getMessage());
            assertTrue(clock.nanos() - began < 2_000_000_000L);
            failure(Kind.GONE, () -> line.ask("again", 10_000));
            failure(Kind.GONE, () -> line.send("again", 10_000));
        }
    }

    @Test
    void aWriteThatNobodyReadsIsEndedByTheWatchdog() throws Exception {
        SystemClock clock = new SystemClock();
        String long1000 = "x".repeat(1000);
        try (SerialLine line = line()) {
            long began = clock.nanos();
            LineException e = failure(Kind.GONE, () -> {
                for (int i = 0; i < 100; i++) {
                    line.send(long1000, 200);
                }
            });
            assertEquals(pty.path() + " took no bytes in time and was closed", e.getMessage());
            assertTrue(clock.nanos() - began < 2_000_000_000L);
        }
    }

    @Test
    void closingFromAnotherThreadFreesWhoeverWaits() throws Exception {
        CountDownLatch asked = new CountDownLatch(1);
        pty.serve(request -> {
            asked.countDown();
            return NOTHING;
        });
        SerialLine line = line();
        CompletableFuture<LineException> waiting =
                CompletableFuture.supplyAsync(() -> assertThrows(LineException.class, () -> line.ask("q", 15_000)));
        asked.await();
        line.close();
        assertEquals(Kind.GONE, waiting.get().kind());
    }

    @Test
    void aPortIsForOneLineOnly() throws Exception {
        try (SerialLine line = line()) {
            LineException e = failure(Kind.IN_USE, this::line);
            assertEquals(pty.path() + " is open already in this program", e.getMessage());
            line.send("still mine", 1000);
        }
        line().close();
    }

    @Test
    void eachOpeningFollowsALinkAnew(@TempDir Path directory) throws Exception {
        Path link = directory.resolve("controller");
        Files.createSymbolicLink(link, Path.of(pty.path()));
        pty.serve(request -> Pty.line("first"));
        try (Pty second = Pty.open()) {
            second.serve(request -> Pty.line("second"));
            try (SerialLine line = SerialLine.open(link.toString(), 115200, "\n", Optional.empty())) {
                assertEquals("first", line.ask("q", 1000));
            }
            Files.delete(link);
            Files.createSymbolicLink(link, Path.of(second.path()));
            try (SerialLine line = SerialLine.open(link.toString(), 115200, "\n", Optional.empty())) {
                assertEquals("second", line.ask("q", 1000));
            }
        }
    }

    @Test
    void neverTakesAnotherPortOfTheSameName(@TempDir Path directory) {
        String missing = directory.resolve("ttyS0").toString();
        LineException e = failure(Kind.NO_PORT, () -> SerialLine.open(missing, 115200, "\n", Optional.empty()));
        assertEquals("there is no port " + missing + "; plug the device in and switch it on", e.getMessage());
    }

    @Test
    void aFileIsNoPort(@TempDir Path directory) throws Exception {
        Path file = Files.createFile(directory.resolve("file"));
        LineException e =
                failure(Kind.UNUSABLE, () -> SerialLine.open(file.toString(), 115200, "\n", Optional.empty()));
        assertEquals(file + " is no serial port", e.getMessage());
    }

    @Test
    void refusalsSayWhatToDo(@TempDir Path directory) throws Exception {
        Path file = Files.createFile(directory.resolve("port"));
        String group = Files.getAttribute(file, "posix:group").toString();
        LineException e = SerialLine.refusal(file.toString(), 13, "ada");
        assertEquals(Kind.PERMISSION, e.kind());
        assertEquals(SerialLine.notAllowed(file.toString(), "ada", group), e.getMessage());
        assertEquals(
                "user ada may not open /dev/ttyUSB0; it belongs to group dialout. Join it with 'sudo usermod -a -G"
                        + " dialout ada', then log out and in again: a group counts from the next login",
                SerialLine.notAllowed("/dev/ttyUSB0", "ada", "dialout"));
        assertEquals(
                "user ada may not open /dev/ttyUSB0; it belongs to group root. Let an administrator give it to a group"
                        + " that you are in, such as dialout, by a udev rule; hardware-notes/serial.md shows one",
                SerialLine.notAllowed("/dev/ttyUSB0", "ada", "root"));
        assertEquals(Kind.IN_USE, SerialLine.refusal("/dev/ttyUSB0", 11, "ada").kind());
    }

    @Test
    @SuppressWarnings("try") // closes twice on purpose
    void hasNothingToDoWithTheLineAfterClosing() throws Exception {
        List<String> heard = new CopyOnWriteArrayList<>();
        pty.serve(request -> {
            heard.add(request);
            return Pty.line("re " + request);
        });
        for (int i = 0; i < 5; i++) {
            try (SerialLine line = line()) {
                assertEquals("re q" + i, line.ask("q" + i, 1000));
                line.close();
                failure(Kind.GONE, () -> line.ask("more", 1000));
            }
        }
        assertEquals(List.of("q0", "q1", "q2", "q3", "q4"), heard);
    }
}
