package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The noise-matched night from one command, and a night of the other fan set at the levels of the first. */
class NoiseMatchedNightIT {

    private static final String PLAN = "protocols/noise-matched-night.yaml";

    @TempDir
    private Path folder;

    private List<String> run(int exit, String... arguments) throws IOException, InterruptedException {
        try (Program program = Program.start(folder, arguments)) {
            assertEquals(exit, program.exitWithin(240), () -> String.join("\n", program.output()));
            return program.output();
        }
    }

    private static void has(List<String> output, String pattern) {
        assertTrue(
                output.stream().anyMatch(line -> line.matches(pattern)), pattern + " in\n" + String.join("\n", output));
    }

    @Test
    void aSecondSetIsMeasuredAtTheNoiseOfTheFirst() throws Exception {
        has(run(0, "rehearse", PLAN), "  passes that fit: 24 of 24");

        Path records = folder.resolve("r");
        List<String> first = run(0, "run", PLAN, "--records", records.toString());
        has(first, "  fan-3 +20\\.0 % +15\\.0 %.*");
        has(first, "  24 dB own level +13[0-9]{2} rpm .*yes +agrees.*");
        has(first, "  24 dB own level +2 +[0-9.]+ ± [0-9.]+ K.*");
        Path record = Program.record(records);
        has(run(0, "retrace", record.toString()), "identical: .*");
        String results = Files.readString(record.resolve("data/results.json"));
        assertTrue(results.contains("\"own_level_dB\"") && results.contains("\"start_duty_percent\""), results);

        List<String> refused = run(
                2,
                "run",
                "protocols/first-night.yaml",
                "--levels-from",
                record.toString(),
                "--records",
                records.toString());
        has(refused, "--levels-from: the plan has no step above the background.*");

        Path shorter = shortened(Path.of(PLAN));
        List<String> second = run(
                0,
                "run",
                shorter.toString(),
                "--fans",
                "protocols/fans/b.yaml",
                "--levels-from",
                record.toString(),
                "--records",
                records.toString());
        has(second, "  4 dB above background +[0-9]+ rpm .*" + record.getFileName());
    }

    /** The plan with short waits and one repeat; what is heard stays the same. */
    private Path shortened(Path plan) throws IOException {
        List<String> lines = new ArrayList<>();
        for (String line : Files.readAllLines(plan)) {
            lines.add(line.replaceAll("slope: 1 K/h, window: 1[05] min", "slope: 20 K/h, window: 2 min")
                    .replace("at-least: 10 min", "at-least: 3 min")
                    .replace("at-least-runs: 4", "at-least-runs: 0")
                    .replace("repeats: 2", "repeats: 1")
                    .replace("not-before: 23:00", ""));
        }
        return Files.write(folder.resolve("shortened.yaml"), lines);
    }
}
