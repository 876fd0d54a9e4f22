package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.plan.NightFiles;

/** Nights of two sets compared, and a bench commissioned, by the packaged program. */
class CompareIT {

    private static final String PLAN = "src/test/resources/plans/short-night.yaml";

    @TempDir
    private Path folder;

    private Program night(String set, int seed) throws Exception {
        return Program.start(
                folder,
                "run",
                PLAN,
                "--fans",
                "protocols/fans/" + set + ".yaml",
                "--seed",
                "" + seed,
                "--records",
                "" + folder.resolve(set));
    }

    private List<String> done(String... args) throws Exception {
        return Program.ended(folder, 0, args);
    }

    /** The demo sets truly differ by 0.62 K at 800 rpm and by 0.14 K at 1500 rpm, warmer with B. */
    @Test
    void theTrueDifferenceOfTheDemoSetsIsFound() throws Exception {
        try (Program first = night("a", 1);
                Program second = night("b", 2)) {
            assertEquals(0, first.exitWithin(120), () -> String.join("\n", first.output()));
            assertEquals(0, second.exitWithin(120), () -> String.join("\n", second.output()));
        }
        Path a = Program.record(folder.resolve("a"));
        Path b = Program.record(folder.resolve("b"));
        List<String> text = done("compare", "" + a, "" + b);
        assertTrue(text.stream().anyMatch(l -> l.contains("800 rpm") && l.contains("B is warmer than A")), "" + text);
        String csv = String.join("\n", done("compare", "" + b, "" + a, "--against", "A", "--csv"));
        String slow =
                csv.lines().filter(l -> l.contains(",800 rpm,")).findFirst().orElseThrow();
        String[] cells = slow.split(",");
        assertEquals(0.62, Double.parseDouble(cells[6]), Double.parseDouble(cells[7]), slow);
        assertTrue(
                String.join("\n", done("compare", "" + a, "" + b, "--json")).contains("\"nights_replicated\" : false"));

        done("set-aside", "" + a, "1.1/1", "--reason", "door was open");
        assertTrue(
                String.join("\n", done("compare", "" + a, "" + b))
                        .contains("pass 1.1/1 was set aside since, signed as "),
                "what was said of a record since");

        Files.writeString(b.resolve("data/passes.csv"), "x", StandardCharsets.UTF_8);
        assertTrue(String.join("\n", Program.ended(folder, 1, "compare", "" + a, "" + b))
                .contains("[FILE_CHANGED]"));
    }

    @Test
    void commissioningFindsTheTimeConstantsAndChangesNothingElse() throws Exception {
        Path bench = folder.resolve("bench.yaml");
        String before = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8);
        Files.writeString(bench, before);
        done("bench", "commission", "" + bench, "--records", "" + folder.resolve("records"));
        String after = Files.readString(bench);
        assertEquals(
                before.replaceAll("(?m)^commissioning: .*\\n", ""),
                after.replaceAll("(?m)^(# until .*: \\{ slow.*|commissioning: .*)\\n", ""));
        BenchFile found = BenchFileArgument.read(bench);
        assertEquals(318.0, found.loopTimeConstantSeconds(), 10.0);
        assertEquals(1500.0, found.slowTimeConstantSeconds().orElseThrow(), 250.0);
    }
}
