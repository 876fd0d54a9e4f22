package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.plateaubench.Wants;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.clock.Deadline;

/** The packaged program on a machine that gives it no turn for longer than a night may make no progress. */
@Execution(ExecutionMode.CONCURRENT)
class StallIT {

    private static final long STALL_MILLIS = 7000;

    @TempDir
    private Path folder;

    @Test
    void aProgramThatWasStoppedForAWhileGoesOnAndSaysSo() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        Wants.program("kill");
        Wants.ears("INT");
        Path bench = folder.resolve("bench.yaml");
        Path plan = folder.resolve("plan.yaml");
        Files.writeString(
                plan,
                Files.readString(Path.of("protocols/quick-look.yaml"))
                        .replace("heat: { workload: compile }", "heat: { power: 200 W }"));
        try (Program peer = Program.start(folder, "bench", "simulate", "--write", bench.toString())) {
            peer.await("runs until it is stopped", 30);
            try (Program run = Program.start(
                    folder,
                    "run",
                    plan.toString(),
                    "--bench",
                    bench.toString(),
                    "--fans",
                    "protocols/fans/a.yaml",
                    "--records",
                    folder.resolve("r").toString())) {
                run.await("stage pump-lock", 90);
                run.signal("STOP");
                Deadline.afterMillis(STALL_MILLIS).await();
                run.signal("CONT");
                run.await("clock stall", 15);
                run.signal("INT");
                assertEquals(3, run.exitWithin(30), () -> String.join("\n", run.output()));
            }
        }
        Path record = Program.record(folder.resolve("r"));
        List<String> stalls = Files.readAllLines(record.resolve("data/journal.jsonl")).stream()
                .filter(line -> line.contains("\"event\":\"stall\""))
                .toList();
        assertEquals(1, stalls.size(), stalls.toString());
        double seconds = Double.parseDouble(stalls.get(0).replaceAll(".*\"seconds\":([0-9.]+).*", "$1"));
        assertTrue(seconds > STALL_MILLIS / 1000.0 - 1.5, stalls.toString());
        assertTrue(Files.exists(record.resolve("signature/tagmanifest-sha256.txt.sig")), "not sealed");
    }
}
