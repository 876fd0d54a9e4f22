package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.Wants;
import org.plateaubench.bench.serial.Pty;

/** What is refused is refused before a byte reaches the bench: the bench's line is recorded. */
class NothingIsSentTest {

    private static final Path CORPUS = Path.of("src/test/resources/files/faulty/plan");

    @TempDir
    private Path folder;

    static Stream<Path> faultyPlans() throws Exception {
        try (Stream<Path> files = Files.list(CORPUS)) {
            return files.filter(f -> f.toString().endsWith(".yaml")).sorted().toList().stream();
        }
    }

    @ParameterizedTest
    @MethodSource("faultyPlans")
    void aFaultyPlanIsToldAndTheLineStaysSilent(Path plan) throws Exception {
        assertEquals(
                List.of(),
                sentBy("run", plan.toString(), "--fans", "protocols/fans/one-tachometer.yaml"),
                plan.toString());
    }

    @Test
    void withoutAFansFileARealBenchStaysSilent() throws Exception {
        assertEquals(List.of(), sentBy("run", "protocols/quick-look.yaml"));
    }

    @Test
    void theLineOfThisTestHearsWhatIsSent() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        List<String> heard = new CopyOnWriteArrayList<>();
        try (Pty pty = Pty.open()) {
            pty.serve(request -> {
                heard.add(request);
                return Pty.line("EXAMPLE,OTHER,1,1");
            });
            Run run = run(
                    "run", supplyPlan(), "--fans", "protocols/fans/one-tachometer.yaml", "--bench", bench(pty.path()));
            assertEquals(4, run.exit(), run.text());
            assertFalse(heard.isEmpty(), run.text());
        }
    }

    private List<String> sentBy(String... command) throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        List<String> heard = new CopyOnWriteArrayList<>();
        try (Pty pty = Pty.open()) {
            pty.serve(request -> {
                heard.add(request);
                return new byte[0];
            });
            Run run = run(Stream.concat(Stream.of(command), Stream.of("--bench", bench(pty.path())))
                    .toArray(String[]::new));
            assertEquals(2, run.exit(), run.text());
            String said = run.text().toLowerCase(Locale.ROOT);
            assertTrue(said.contains("nothing was sent to the bench"), run.text());
            assertFalse(said.contains("exception") || said.contains("org.plateaubench"), run.text());
        }
        return heard;
    }

    private String supplyPlan() throws Exception {
        Path plan = folder.resolve("supply.yaml");
        Files.writeString(
                plan,
                Files.readString(Path.of("protocols/quick-look.yaml"))
                        .replace("heat: { workload: compile }", "heat: { power: 200 W }"));
        return plan.toString();
    }

    /** A small real bench on one line. */
    private String bench(String port) throws Exception {
        Path bench = folder.resolve("bench.yaml");
        Files.writeString(bench, """
                bench: silent loop
                devices:
                  controller: { port: %s, baud: 38400, dialect: scpi, identity: "EXAMPLE,FANCTL,1,1", timeout: 300 ms, silence-cutoff: 10 s }
                channels:
                  ambient: { device: controller, ask: "MEAS:TEMP? (@1)", unit: °C }
                  coolant: { device: controller, ask: "MEAS:TEMP? (@2)", unit: °C }
                  fan-1:   { device: controller, ask: "MEAS:FREQ? (@11)", tachometer: 2 per revolution }
                  pump:    { device: controller, ask: "MEAS:FREQ? (@12)", tachometer: 2 per revolution }
                groups: { fans: [fan-1] }
                actuators:
                  fan-duty:  { device: controller, set: "SOUR1:PULS:DCYC {percent}", readback: "SOUR1:PULS:DCYC?", safe: 100 %% }
                  pump-duty: { device: controller, set: "SOUR2:PULS:DCYC {percent}", readback: "SOUR2:PULS:DCYC?", safe: 100 %% }
                supply: { device: controller, set: "SOUR3:POW {watt}", readback: "SOUR3:POW?", cutoff: { silence: 10 s, by: supply } }
                limits:
                  - { channel: coolant, above: 55 °C, for: 3 s }
                """.formatted(port));
        return bench.toString();
    }

    private record Run(int exit, String text) {}

    private static Run run(String... args) {
        StringWriter text = new StringWriter();
        PrintWriter writer = new PrintWriter(text);
        int exit = Main.run(writer, writer, args);
        return new Run(exit, text.toString());
    }
}
