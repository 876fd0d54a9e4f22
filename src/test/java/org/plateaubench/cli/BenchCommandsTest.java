package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.BufferedReader;
import java.io.PrintWriter;
import java.io.StringReader;
import java.io.StringWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.check.BenchCheck;
import org.plateaubench.bench.check.Calibration.Probe;
import org.plateaubench.bench.check.Check;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.sim.StandaloneSimulator;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.Json;
import picocli.CommandLine;

/** Tests of what is done before the first night, as its people call it. */
@Timeout(60)
class BenchCommandsTest {

    @TempDir
    Path folder;

    private record Ran(int code, String out, String err) {}

    private static Ran run(String... args) {
        StringWriter out = new StringWriter();
        StringWriter err = new StringWriter();
        int code = Main.run(new PrintWriter(out), new PrintWriter(err, true), args);
        return new Ran(code, out.toString(), err.toString());
    }

    // ---- ports

    @Test
    void portsShowsWhoAnswersAndLeavesTheRestAlone() throws Exception {
        assumeTrue(Pty.supported());
        try (Pty scpi = Pty.open();
                Pty carriageReturns = Pty.open();
                Pty silent = Pty.open();
                Pty garbage = Pty.open()) {
            scpi.serve(r -> r.equals("*IDN?") ? Pty.line("EXAMPLE,FANCTL-2,0042,1.3") : new byte[0]);
            carriageReturns.serve(r -> "*IDN?\rMETER 7\r".getBytes(StandardCharsets.ISO_8859_1));
            silent.serve(r -> new byte[0]);
            garbage.serve(r -> "\u00ff\u00fe\u0001\n".getBytes(StandardCharsets.ISO_8859_1));
            String missing = folder.resolve("missing").toString();
            Ran ran = run(
                    "bench",
                    "ports",
                    scpi.path(),
                    carriageReturns.path(),
                    silent.path(),
                    garbage.path(),
                    missing,
                    "--baud",
                    "9600",
                    "--json");
            assertEquals(0, ran.code(), ran.err());
            List<Map<String, Object>> ports = ports(ran.out());
            assertEquals(
                    List.of("answers", "answers", "silent", "silent", "unusable"),
                    ports.stream().map(p -> p.get("state")).toList());
            assertEquals("EXAMPLE,FANCTL-2,0042,1.3", ports.get(0).get("answer"));
            assertEquals("lf", ports.get(0).get("line-end"));
            assertEquals(9600L, ((Number) ports.get(0).get("baud")).longValue());
            assertEquals("METER 7", ports.get(1).get("answer"));
            assertEquals("cr", ports.get(1).get("line-end"));
            assertTrue(ports.get(2).get("detail").toString().startsWith("no byte came"), ran.out());
            assertTrue(ports.get(3).get("detail").toString().startsWith("something came"), ran.out());
        }
    }

    @SuppressWarnings("unchecked")
    private static List<Map<String, Object>> ports(String json) throws Exception {
        return (List<Map<String, Object>>)
                Json.read(json.getBytes(StandardCharsets.UTF_8)).get("ports");
    }

    @Test
    void aPortInUseIsLeftAlone() throws Exception {
        assumeTrue(Pty.supported());
        try (Pty pty = Pty.open()) {
            List<String> heard = new ArrayList<>();
            pty.serve(r -> {
                heard.add(r);
                return Pty.line("1");
            });
            var user = org.plateaubench.bench.serial.SerialLine.open(pty.path(), 9600, "\n", Optional.empty());
            try {
                Ran ran = run("bench", "ports", pty.path(), "--baud", "9600");
                assertEquals(0, ran.code());
                assertTrue(ran.out().contains("in use"), ran.out());
                assertEquals(List.of(), heard);
            } finally {
                user.close();
            }
        }
    }

    @Test
    void modbusUnitsAreAskedOnlyWhereTheyAreNamed() {
        Ran noPort = run("bench", "ports", "--modbus", "1-20");
        assertEquals(2, noPort.code());
        assertTrue(noPort.err().contains("--modbus needs the ports to ask"), noPort.err());
        for (String wrong : List.of("0", "1-248", "9-3", "x", "3,,4")) {
            Ran ran = run("bench", "ports", "/dev/x", "--modbus", wrong);
            assertEquals(2, ran.code(), wrong);
            assertTrue(ran.err().contains("such as 1-20 or 3,17; found " + wrong), ran.err());
        }
    }

    // ---- new

    @Test
    void aNewBenchFileReadsAndItsBenchNeedsNothingButItsCutOffs() throws Exception {
        assumeTrue(Pty.supported());
        BenchFile simulated =
                BenchFileReader.read(NightFiles.simulatedBench()).value().orElseThrow();
        VirtualClock clock = VirtualClock.unpaced(Instant.EPOCH);
        try (StandaloneSimulator simulator = StandaloneSimulator.start(simulated, "A", 1, clock)) {
            Path file = folder.resolve("bench.yaml");
            Ran ran = run(
                    "bench",
                    "new",
                    file.toString(),
                    "--name",
                    "first \"bench\"",
                    "--controller",
                    simulator.ports().get(0).path(),
                    "--fans",
                    "3",
                    "--meter",
                    "none",
                    "--supply",
                    "--yes");
            assertEquals(0, ran.code(), ran.err());
            BenchFile bench = read(Files.readString(file));
            assertEquals("first \"bench\"", bench.name());
            try (Bench opened = Benches.real(bench, () -> folder, c -> {
                throw new AssertionError("no computer was asked for");
            })) {
                List<Check> checks = new BenchCheck(opened, clock, line -> {}).run();
                assertEquals(
                        List.of(),
                        checks.stream()
                                .filter(c -> c.verdict() == Check.Verdict.FIX)
                                .toList());
            }
        }
    }

    private static BenchFile read(String text) {
        var parsed = BenchFileReader.read(new SourceText("bench.yaml", text.getBytes(StandardCharsets.UTF_8)));
        return parsed.value()
                .orElseThrow(() -> new AssertionError(parsed.problems().toString()));
    }

    @Test
    void aPersonIsAskedWhatNoOptionSays() throws Exception {
        Path file = folder.resolve("asked.yaml");
        BenchNewCommand command = new BenchNewCommand();
        StringWriter out = new StringWriter();
        CommandLine line = new CommandLine(command).setOut(new PrintWriter(out));
        line.parseArgs(file.toString(), "--controller", "/dev/ttyX", "--identity", "LINES 4", "--baud", "19200");
        // The name, an impossible and a possible number of fans, no sensor, a command.
        String answers = "my loop\n12\n2\n\nmake -j8 all\n";
        assertEquals(0, command.call(Optional.of(new BufferedReader(new StringReader(answers)))));
        BenchFile bench = read(Files.readString(file));
        assertEquals("my loop", bench.name());
        assertEquals(List.of("fan-1", "fan-2"), bench.group(BenchFile.FANS));
        assertTrue(bench.workload("heat").orElseThrow().toString().contains("[make, -j8, all]"));
        Pattern match = ((ChannelSpec.Source.Ask)
                        bench.channel("coolant").orElseThrow().source())
                .match()
                .orElseThrow();
        assertEquals(
                List.of("22.5", "22.5", "-3.25", "24.7", "22,5", "none", "none"),
                Stream.of("22.5", "T1= 22.5 C", "-3.25", "L=24.7dB", "22,5", "22.5 31.0", "T1 22.5")
                        .map(match::matcher)
                        .map(m -> m.find() ? m.group(1) : "none")
                        .toList());
        assertTrue(
                out.toString().contains("How many fans have a tachometer of their own? [1] How many"), out.toString());
    }

    @Test
    void whatIsThereIsNotOverwritten() throws Exception {
        Path file = Files.writeString(folder.resolve("mine.yaml"), "bench: mine\n");
        Ran ran = run("bench", "new", file.toString(), "--controller", "/dev/x", "--identity", "A,B,C,D", "--yes");
        assertEquals(2, ran.code());
        assertEquals("bench: mine\n", Files.readString(file));
        Ran wrong = run("bench", "new", folder + "/n.yaml", "--controller", "x", "--identity", "A", "--fans", "77");
        assertEquals(2, wrong.code());
        assertTrue(wrong.err().startsWith("\"77\" is no answer to: How many fans"), wrong.err());
    }

    // ---- check

    @Test
    void checkPrintsATableAndExitsByWhatMustBeFixed() throws Exception {
        Ran good = run("bench", "check");
        assertEquals(0, good.code(), good.out());
        assertTrue(good.out().startsWith("SIMULATED  Check of \"simulated loop\"\n"), good.out());
        assertTrue(good.out().endsWith("SIMULATED  nothing must be fixed\n"), good.out());
        String text = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8);
        Path file = Files.writeString(folder.resolve("b.yaml"), text.replace(", silence-cutoff: 10 s", ""));
        Ran bad = run("bench", "check", file.toString(), "--json");
        assertEquals(1, bad.code());
        Map<String, Object> page = Json.read(bad.out().getBytes(StandardCharsets.UTF_8));
        assertEquals(true, page.get("simulated"));
        assertTrue(bad.out().contains("no cut-off is declared"), bad.out());
        assertTrue(run("bench", "check", file.toString()).out().contains("1 thing must be fixed before a night"));
    }

    // ---- calibrate

    @Test
    void correctionsAreWrittenIntoTheFileAndOldOnesKept() throws Exception {
        String text = """
                # My bench.
                bench: mine
                devices:
                  c: { port: /dev/ttyX, baud: 9600, dialect: scpi }
                channels:
                  ambient: { device: c, ask: "A?", unit: °C, correction: -0.12 K, uncertainty: { limits: 0.5 K } } # inlet
                  coolant:
                    device: c
                    ask: "C?"
                    unit: °C
                  fan-1: { device: c, ask: "F?", tachometer: 2 per revolution }
                  pump: { device: c, ask: "P?", tachometer: 2 per revolution }
                groups: { fans: [fan-1] }
                actuators:
                  fan-duty: { device: c, set: "F {percent}", safe: 100 % }
                  pump-duty: { device: c, set: "P {percent}", safe: 100 % }
                limits:
                  - { channel: coolant, above: 50 °C, for: 3 s }
                """;
        BenchFile file = read(text);
        String changed = CalibratedFile.text(
                text,
                file,
                List.of(
                        new Probe("ambient", 300, 0.2, 0, -0.2, 0.0101, ""),
                        new Probe("coolant", 300, 0.1, 0, 0.0506, 0.02, "")),
                "ice point",
                LocalDate.of(2026, 11, 27));
        assertEquals(
                text.replace(
                                "  ambient: { device: c, ask: \"A?\", unit: °C, correction: -0.12 K, uncertainty: { limits: 0.5 K } }",
                                "  # until 2026-11-27: correction -0.12 K, uncertainty limits ±0.5 K\n"
                                        + "  ambient: { device: c, ask: \"A?\", unit: °C, correction: -0.200 K, uncertainty:"
                                        + " { expanded: 0.03 K, k: 2 }, calibration: { certificate: \"ice point"
                                        + " 2026-11-27\", due: 2027-11-27 } }")
                        .replace(
                                "  coolant:\n",
                                "  # until 2026-11-27: correction 0 K, uncertainty not stated\n  coolant:\n")
                        .replace(
                                "    ask: \"C?\"\n    unit: °C\n",
                                "    ask: \"C?\"\n    unit: °C\n    correction: 0.051 K\n    uncertainty: { expanded: 0.04 K,"
                                        + " k: 2 }\n    calibration: { certificate: \"ice point 2026-11-27\", due:"
                                        + " 2027-11-27 }\n"),
                changed);
        BenchFile again = read(changed);
        assertEquals(-0.2, again.channel("ambient").orElseThrow().correction());
        assertEquals(
                0.02,
                again.channel("coolant")
                        .orElseThrow()
                        .uncertainty()
                        .orElseThrow()
                        .standard());

        Path path = Files.writeString(folder.resolve("mine.yaml"), text);
        SourceText read = BenchFileArgument.text(path);
        BenchFileArgument.replace(path, read, changed);
        assertEquals(changed, Files.readString(path));
        assertThrows(Refusal.class, () -> BenchFileArgument.replace(path, read, text));
        assertThrows(Refusal.class, () -> BenchFileArgument.replace(path, BenchFileArgument.text(path), "bench: 1"));
        assertEquals(changed, Files.readString(path));
        assertEquals(List.of("mine.yaml"), names());
    }

    private List<String> names() throws Exception {
        try (var files = Files.list(folder)) {
            return files.map(f -> f.getFileName().toString()).sorted().toList();
        }
    }

    @Test
    void calibrateSaysWhatItNeedsBeforeItTouchesABench() throws Exception {
        Path simulated = Files.write(
                folder.resolve("s.yaml"), NightFiles.simulatedBench().bytes());
        Path real = Path.of("src/test/resources/files/valid/everything-bench.yaml");
        refused("stand in no bath", "bench", "calibrate", simulated.toString(), "--ice", "ambient");
        refused("either --ice or --bath", "bench", "calibrate", real.toString());
        refused("no channel of temperature called pump", "bench", "calibrate", real.toString(), "--ice", "pump");
        refused("one probe alone", "bench", "calibrate", real.toString(), "--bath", "ambient");
        refused(
                "a reference is worth what its uncertainty says",
                "bench",
                "calibrate",
                real.toString(),
                "--bath",
                "ambient",
                "--reference",
                "25 °C");
        refused(
                "--reference-uncertainty needs",
                "bench",
                "calibrate",
                real.toString(),
                "--bath",
                "ambient",
                "--reference",
                "25 °C",
                "--reference-uncertainty",
                "5 %");
        Path bare = Path.of("src/test/resources/files/valid/dialects-bench.yaml");
        refused(
                "not how far all of them are off together",
                "bench",
                "calibrate",
                bare.toString(),
                "--bath",
                "ambient,coolant");
    }

    private static void refused(String why, String... args) {
        Ran ran = run(args);
        assertEquals(2, ran.code(), ran.err());
        assertTrue(ran.err().contains(why), ran.err());
    }
}
