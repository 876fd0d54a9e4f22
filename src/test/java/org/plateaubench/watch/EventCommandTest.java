package org.plateaubench.watch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.function.BooleanSupplier;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import org.plateaubench.clock.Deadline;

class EventCommandTest {

    @TempDir
    Path folder;

    private final List<String> said = new CopyOnWriteArrayList<>();

    @BeforeEach
    void needsAShell() {
        Wants.program("sh");
    }

    private String script(String body) throws Exception {
        Path script = folder.resolve("tell");
        Files.writeString(script, "#!/bin/sh\n" + body + "\n");
        assertTrue(script.toFile().setExecutable(true));
        return script.toString();
    }

    @Test
    void theProgramIsToldKindAndLineWithoutAnyShell() throws Exception {
        Path told = folder.resolve("told");
        String program = script("printf '%s|%s|%s\\n' \"$#\" \"$1\" \"$2\" >> '" + told + "'");
        try (EventCommand command = new EventCommand(program, said::add)) {
            command.journalled(1, Map.of("decision", "stage", "stage", "soak", "pass", ""));
            command.journalled(
                    2, Map.of("decision", "pass-spoiled", "pass", "1.1/1", "reason", "$(touch x); `y` \"z\" && rm"));
            command.journalled(3, Map.of("input", "device", "device", "meter", "event", "gone", "detail", "no answer"));
        }
        assertEquals(
                List.of(
                        "2|pass-spoiled|pass 1.1/1 spoiled: $(touch x); `y` \"z\" && rm",
                        "2|device-gone|device meter: gone no answer"),
                Files.readAllLines(told));
        assertEquals(List.of(), said);
    }

    @Test
    void aProgramThatHangsIsEndedAndTheNightDoesNotWait() throws Exception {
        String program = script("sleep 600");
        EventCommand command = new EventCommand(program, said::add, 200);
        for (int i = 0; i < 100; i++) {
            command.journalled(i, Map.of("decision", "pass-spoiled", "pass", "1." + i + "/1", "reason", "test"));
        }
        assertTrue(said.stream().anyMatch(line -> line.contains("too many events wait")), said.toString());
        await("it is ended", () -> said.stream().anyMatch(line -> line.contains("ended after")));
        command.close();
    }

    @Test
    void closingEndsAProgramThatIgnoresEverythingWithinItsTime() throws Exception {
        Path ids = folder.resolve("ids");
        String program = script("trap '' TERM INT HUP QUIT\nsleep 600 &\necho $$ $! > '" + ids + ".new'\nmv '" + ids
                + ".new' '" + ids + "'\nwhile :; do wait; done");
        EventCommand command = new EventCommand(program, said::add, 60_000);
        command.journalled(1, Map.of("decision", "pass-spoiled", "pass", "1.1/1", "reason", "test"));
        command.journalled(2, Map.of("decision", "end", "exit", 0L, "how", "complete", "reason", "done"));
        await("it is under way", () -> Files.exists(ids));
        command.close(300);
        List<ProcessHandle> left = Stream.of(Files.readString(ids).strip().split(" "))
                .flatMap(id -> ProcessHandle.of(Long.parseLong(id)).stream())
                .toList();
        await("both are ended", () -> left.stream().noneMatch(ProcessHandle::isAlive));
        assertEquals(List.of("--on-event: the run is over; left out: 1"), said);
    }

    private static void await(String what, BooleanSupplier condition) {
        Deadline patience = Deadline.afterMillis(20_000);
        while (!condition.getAsBoolean()) {
            assertFalse(patience.passed(), "not in time: " + what);
            Deadline.afterMillis(10).await();
        }
    }

    @Test
    void aProgramThatIsNotThereIsSaid() throws Exception {
        try (EventCommand command = new EventCommand(folder.resolve("missing").toString(), said::add)) {
            command.journalled(1, Map.of("decision", "end", "exit", 0L, "how", "complete", "reason", "done"));
        }
        assertEquals(1, said.size(), said.toString());
        assertTrue(said.get(0).startsWith("--on-event: "), said.toString());
    }
}
