package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Json;

/** The commands that say what numbers are worth: rehearse --nights, and what they refuse. */
class TruthCommandsTest {

    private static final String SHORT = "src/test/resources/plans/short-night.yaml";

    @TempDir
    private Path folder;

    private record Run(int exit, String out, String err) {}

    private static Run run(String... args) {
        StringWriter out = new StringWriter();
        StringWriter err = new StringWriter();
        int exit = Main.run(new PrintWriter(out), new PrintWriter(err, true), args);
        return new Run(exit, out.toString(), err.toString());
    }

    @Test
    void rehearsalsGiveStatisticsForProgramsAndProgressForPeople() throws Exception {
        Run run = run("rehearse", SHORT, "--nights", "2", "--seed", "9", "--json");
        assertEquals(0, run.exit(), run.err());
        Map<String, Object> json = Json.read(run.out().getBytes(StandardCharsets.UTF_8));
        assertEquals(2, ((Number) json.get("nights")).intValue());
        assertEquals(9, ((Number) json.get("first_seed")).intValue());
        double coverage = ((Number) json.get("coverage")).doubleValue();
        assertTrue(coverage >= 0.0 && coverage <= 1.0, "coverage " + coverage);
        assertTrue(((Number) json.get("coverage_low")).doubleValue() <= coverage);
        assertTrue(run.err().contains("4 of 4 rehearsals"), run.err());
        double quick = bias(json, "IEC 61810-7:2006, thermal equilibrium");
        double slow = bias(json, "IEC 62135-1:2008, thermal equilibrium");
        assertTrue(quick > 0.1 && slow < 0.01, "relays end " + quick + " K off, welding equipment " + slow + " K");
        Run text = run("rehearse", SHORT, "--nights", "2");
        assertTrue(text.out().contains("hold, offsets drawn"), text.out());
        assertTrue(text.out().contains("fixed waits of 30 min"), text.out());
    }

    /** How far a dwell after the wait of a published criterion ends off, K. */
    private static double bias(Map<String, Object> json, String criterion) {
        return ((List<?>) json.get("published_criteria"))
                .stream()
                        .map(Map.class::cast)
                        .filter(of -> criterion.equals(of.get("criterion")))
                        .mapToDouble(of -> ((Number) of.get("bias_K")).doubleValue())
                        .findFirst()
                        .orElseThrow();
    }

    @Test
    void aRehearsalGivesItsStagesForPrograms() throws Exception {
        Run run = run("rehearse", SHORT, "--json");
        assertEquals(0, run.exit(), run.err());
        Map<String, Object> json = Json.read(run.out().getBytes(StandardCharsets.UTF_8));
        assertEquals(4, ((Number) json.get("passes_done")).intValue());
        assertTrue(run.out().contains("\"stage\" : \"dwell\""), run.out());
    }

    @Test
    void statisticsOfOneNightAreRefused() {
        Run run = run("rehearse", SHORT, "--nights", "1");
        assertEquals(2, run.exit());
        assertEquals("--nights: found 1; needs 2 or more", run.err().strip());
    }

    @Test
    void whatIsNoRecordIsRefused() throws Exception {
        Files.createDirectory(folder.resolve("empty"));
        Run run = run("compare", folder.resolve("empty").toString(), folder.toString());
        assertEquals(2, run.exit(), run.out());
        assertTrue(run.err().contains("cannot be read as a record"), run.err());
        assertEquals(2, run("compare", folder.toString()).exit());
    }

    @Test
    void commissioningIsRefusedBeforeAnythingIsSent() throws Exception {
        Path bench = folder.resolve("bench.yaml");
        Files.write(bench, NightFiles.simulatedBench().bytes());
        Run hours = run("bench", "commission", bench.toString(), "--hours", "2");
        assertEquals(2, hours.exit());
        assertTrue(hours.err().contains("--hours is 3 to 12, found 2"), hours.err());
        Run heat = run("bench", "commission", bench.toString(), "--heat", "lamp");
        assertEquals(2, heat.exit());
        assertTrue(heat.err().contains("--heat: found lamp"), heat.err());
        BenchFile unchanged = BenchFileArgument.read(bench);
        assertEquals(350.0, unchanged.loopTimeConstantSeconds());
    }
}
