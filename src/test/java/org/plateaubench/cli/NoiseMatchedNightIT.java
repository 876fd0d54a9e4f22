package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
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

        Path others = folder.resolve("others");
        List<String> second = run(
                0,
                "run",
                PLAN,
                "--fans",
                "protocols/fans/b.yaml",
                "--levels-from",
                record.toString(),
                "--records",
                others.toString());
        has(second, "  4 dB above background +[0-9]+ rpm .*" + record.getFileName());

        List<String> compared =
                run(0, "compare", record.toString(), Program.record(others).toString());
        has(compared, "  700 rpm +B is warmer than A by 0\\.7[0-9]+ ± 0\\.0[0-9]+ K .*");
        has(compared, "  own level 24\\.0 dB +B is warmer than A by 0\\.[12][0-9]* ± 0\\.[01][0-9]+ K .*");
        has(compared, "  own level 28\\.[0-9] dB +B is .*");
    }
}
