package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import gov.loc.repository.bagit.reader.BagReader;
import gov.loc.repository.bagit.verify.BagVerifier;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Wants;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Tool;

/** The packaged program, run as its people run it. */
@Execution(ExecutionMode.CONCURRENT)
class RunIT {

    private static final String PLAN = "protocols/first-night.yaml";

    @TempDir
    private Path folder;

    @Test
    void theFirstNightRunsToItsEndAndItsRecordVerifiesWithoutUs() throws Exception {
        Wants.program("sha256sum");
        Wants.program("openssl");
        List<String> output = Program.ended(
                folder, 0, "run", PLAN, "--records", folder.resolve("r").toString());
        assertTrue(
                output.stream().anyMatch(l -> l.matches("  700 rpm +2 +1[0-9]\\.[0-9]{2} ± [0-9.]+ K.*")),
                output.toString());
        assertTrue(
                output.stream()
                        .filter(l -> !l.startsWith("  ") && !l.startsWith("made a signing key"))
                        .allMatch(l -> l.startsWith("SIMULATED")),
                output.toString());
        for (String shown : Program.readme("stage pump-lock")) {
            assertTrue(output.contains(shown), "README shows what is not printed: " + shown);
        }
        Path record = Program.record(folder.resolve("r"));
        reportSaysWhatTheTerminalSaid(record, output);
        for (String manifest : List.of("manifest-sha256.txt", "tagmanifest-sha256.txt")) {
            Tool.Answer sums = Tool.run(record, "sha256sum", "--strict", "--quiet", "-c", manifest);
            assertEquals(new Tool.Answer(0, ""), sums);
        }
        Tool.Answer seal = Tool.verifySeal(record);
        assertEquals(0, seal.exit(), seal.text());
        try (BagVerifier verifier = new BagVerifier()) {
            verifier.isValid(new BagReader().read(record), false);
        }
        assertTrue(Files.readString(record.resolve("bag-info.txt")).contains("Simulated: true"));
        assertTrue(Files.readString(record.resolve("data/results.json")).contains("\"simulated\" : true"));
    }

    /** An interval does not shrink from one screen to another. */
    private void reportSaysWhatTheTerminalSaid(Path record, List<String> terminal) throws Exception {
        Path page = folder.resolve("report.html");
        Program.ended(folder, 0, "report", "" + record, "--out", "" + page);
        String report = Files.readString(page);
        List<String> rises = terminal.stream()
                .map(Pattern.compile("  \\d+ rpm +2 +([0-9.]+ ± [0-9.]+) K.*")::matcher)
                .filter(Matcher::matches)
                .map(m -> m.group(1))
                .toList();
        assertEquals(3, rises.size(), terminal.toString());
        for (String rise : rises) {
            assertTrue(report.contains(rise + " K") && report.contains(">" + rise + "<"), rise + " in the report");
        }
    }

    @Test
    void sameSeedSameBytes() throws Exception {
        String plan = "protocols/quick-look.yaml";
        for (String name : List.of("one", "other")) {
            try (Program run = Program.start(
                    folder, "run", plan, "--records", folder.resolve(name).toString())) {
                assertEquals(0, run.exitWithin(60), () -> String.join("\n", run.output()));
            }
        }
        Path one = Program.record(folder.resolve("one"));
        Path other = Program.record(folder.resolve("other"));
        for (String file : List.of("samples.csv", "journal.jsonl", "results.json", "passes.csv")) {
            assertArrayEquals(
                    Files.readAllBytes(one.resolve("data").resolve(file)),
                    Files.readAllBytes(other.resolve("data").resolve(file)),
                    file);
        }
    }

    @Test
    void aCommissioningSoakIsWrittenUnlessSomebodyChangedTheBenchFileMeanwhile() throws Exception {
        Path bench = Files.write(
                folder.resolve("bench.yaml"), NightFiles.simulatedBench().bytes());
        Path meanwhile = Files.writeString(
                folder.resolve("meanwhile.sh"), "#!/bin/sh\necho '# changed meanwhile' >> '" + bench + "'\n");
        assertTrue(meanwhile.toFile().setExecutable(true));
        String[] commission = {
            "bench",
            "commission",
            "" + bench,
            "--hours",
            "3",
            "--records",
            "" + folder.resolve("r"),
            "--on-event",
            "" + meanwhile
        };

        List<String> refused = Program.ended(folder, 1, commission);
        String said = String.join("\n", refused);
        assertTrue(said.contains("SIMULATED  commissioning: "), said);
        assertTrue(said.contains("NOT written into " + bench + ": " + bench + " was changed by somebody else"), said);
        assertTrue(said.contains("its record is sealed"), said);
        assertEquals(
                Optional.of("# changed meanwhile"),
                Files.readAllLines(bench).stream().reduce((first, second) -> second));
        assertTrue(RecordFolder.open(Program.record(folder.resolve("r"))).sealed());

        Program.ended(folder, 0, Arrays.copyOf(commission, commission.length - 2));
        String written = Files.readString(bench);
        assertTrue(
                written.contains("# changed meanwhile") && written.contains("\ncommissioning: { slow-time-constant: "),
                written);
        assertTrue(BenchFileArgument.read(bench).commissioning().isPresent());
    }

    @Test
    void programsThatWriteTheTrustFileAtOnceLoseNobody() throws Exception {
        List<Program> writers = new ArrayList<>();
        List<String> names = List.of("A", "B", "C", "D", "E", "F");
        try {
            for (String name : names) {
                Path key = Files.writeString(
                        folder.resolve(name + ".pem"),
                        SealingKey.generate().signer().pem());
                writers.add(Program.start(folder, "key", "trust", "" + key, "--name", name));
            }
            for (Program writer : writers) {
                assertEquals(0, writer.exitWithin(60), () -> String.join("\n", writer.output()));
            }
        } finally {
            writers.forEach(Program::close);
        }
        String trust = Files.readString(folder.resolve("plateau-home/trust.jsonl"));
        for (String name : names) {
            assertTrue(trust.contains("\"" + name + "\""), name + " in\n" + trust);
        }
    }

    @Test
    void aBrokenTrustFileIsNamedNotTheKeyThatWasToBeTrusted() throws Exception {
        Program.ended(folder, 0, "key", "create", "--name", "A. Technician");
        Path home = folder.resolve("plateau-home");
        Path trust = Files.writeString(home.resolve("trust.jsonl"), "no line of a trust file\n");
        String said = String.join(
                "\n", Program.ended(folder, 2, "key", "trust", "" + home.resolve("public.pem"), "--name", "B"));
        assertTrue(said.contains("trust.jsonl:1"), said);
        assertFalse(said.contains("public.pem"), said);
        assertEquals("no line of a trust file\n", Files.readString(trust));
    }

    @ParameterizedTest
    @ValueSource(strings = {"INT", "TERM"})
    void aSignalInTheSoakMakesTheBenchSafeAndSealsTheRecord(String signal) throws Exception {
        Wants.program("kill");
        Wants.ears(signal);
        try (Program run = Program.start(
                folder,
                "run",
                "protocols/quick-look.yaml",
                "--records",
                folder.resolve("r").toString(),
                "--pace",
                "25")) {
            run.await("stage soak", 60);
            SystemClock since = new SystemClock();
            run.signal(signal);
            run.await("made safe: pump-duty 100.00 %", 10);
            double seconds = since.nanos() / 1e9;
            assertEquals(3, run.exitWithin(20), () -> String.join("\n", run.output()));
            assertTrue(seconds < 2.0, "made safe after " + seconds + " s");
        }
        Path record = Program.record(folder.resolve("r"));
        List<String> safe = Files.readAllLines(record.resolve("data/journal.jsonl")).stream()
                .filter(l -> l.contains("\"safe\":"))
                .toList();
        assertEquals(3, safe.size(), safe.toString());
        assertTrue(safe.get(0).contains("\"target\":\"heat\",\"asked\":\"off\",\"done\":true"), safe.toString());
        assertTrue(
                safe.get(1).contains("\"target\":\"fan-duty\",\"asked\":\"100.00 %\",\"done\":true"), safe.toString());
        assertTrue(
                safe.get(2).contains("\"target\":\"pump-duty\",\"asked\":\"100.00 %\",\"done\":true"), safe.toString());
        assertTrue(Files.exists(record.resolve("signature/tagmanifest-sha256.txt.sig")), "not sealed");
        assertTrue(Files.readString(record.resolve("bag-info.txt")).contains("ended early: signal " + signal));
    }

    @Test
    void aClosedTerminalDoesNotEndTheNight() throws Exception {
        Wants.program("kill");
        Wants.ears("HUP");
        try (Program run = Program.start(
                folder,
                "run",
                "protocols/quick-look.yaml",
                "--records",
                folder.resolve("r").toString(),
                "--pace",
                "100")) {
            run.await("stage baseline", 60);
            run.signal("HUP");
            run.await("signal HUP", 10);
            assertEquals(0, run.exitWithin(60), () -> String.join("\n", run.output()));
        }
    }

    @Test
    void anotherProgramsBenchThatDiesEndsTheNightWithItsCause() throws Exception {
        Wants.that(org.plateaubench.bench.serial.Pty.supported(), "pseudo-terminals");
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
                run.await("pump locked", 90);
                peer.signal("KILL");
                run.await("device controller: gone", 15);
                assertEquals(4, run.exitWithin(90), () -> String.join("\n", run.output()));
                run.await("SIMULATED  bench fault: device controller gone for 6", 1);
                assertTrue(
                        run.output().stream()
                                .anyMatch(
                                        line -> line.matches(
                                                "SIMULATED  bench fault: device controller gone for 6[0-9] s and not found again")),
                        "the first tick after 60 s ends the night");
            }
        }
        Path record = Program.record(folder.resolve("r"));
        assertTrue(Files.exists(record.resolve("signature/tagmanifest-sha256.txt.sig")), "not sealed");
        assertTrue(
                Files.readString(record.resolve("bag-info.txt")).contains("Simulated: true"),
                "a simulated bench of another process is simulated too");
    }

    @Test
    void aFaultyPlanEndsWithExitTwoBeforeAnythingIsSent() throws Exception {
        Path plan = folder.resolve("plan.yaml");
        Files.writeString(plan, Files.readString(Path.of(PLAN)).replace("sample-every: 1 s", "sample-evry: 1 s"));
        try (Program run = Program.start(
                folder, "run", plan.toString(), "--records", folder.resolve("r").toString())) {
            assertEquals(2, run.exitWithin(30));
            run.await("sample-evry", 1);
            run.await("nothing was sent to the bench", 1);
        }
        assertFalse(Files.exists(folder.resolve("r")), "a record was begun");
    }
}
