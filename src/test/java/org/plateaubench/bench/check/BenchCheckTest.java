package org.plateaubench.bench.check;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.check.Check.Verdict;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.StandaloneSimulator;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;

/** Regression tests of the check of a bench: the shipped simulated one, whole and with one fault after the other. */
class BenchCheckTest {

    private static final long AN_HOUR = 3_600_000;

    private static String shippedText() {
        return new String(
                SourceFiles.resource("/benches/simulated.yaml", "simulated.yaml")
                        .bytes(),
                StandardCharsets.UTF_8);
    }

    private static BenchFile file(String yaml) {
        var parsed = BenchFileReader.read(new SourceText("bench.yaml", yaml.getBytes(StandardCharsets.UTF_8)));
        return parsed.value()
                .orElseThrow(() -> new AssertionError(parsed.problems().toString()));
    }

    private static VirtualClock clock() {
        return VirtualClock.unpaced(Instant.EPOCH);
    }

    private static List<Check> check(BenchFile file, Fault... faults) {
        VirtualClock clock = clock();
        try (SimulatedBench bench = SimulatedBench.create(file, "A", 1, clock, Transport.IN_PROCESS)) {
            List.of(faults).forEach(bench.faults()::add);
            clock.awaitNanos(5_000_000, () -> false);
            List<Check> checks = new BenchCheck(bench, clock, line -> {}).run();
            boolean opened = checks.stream().noneMatch(c -> c.subject().equals("devices"));
            assertEquals(opened ? 0.0 : Double.NaN, supplyWatts(bench), "W of the supply");
            assertEquals(100.0, bench.truth().pumpDutyPercent());
            return checks;
        }
    }

    private static double supplyWatts(Bench bench) {
        return bench.read(100_000)
                .readings()
                .get(bench.file().indexOf(BenchFile.SUPPLY))
                .value();
    }

    private static List<Check> of(List<Check> checks, Verdict verdict) {
        return checks.stream().filter(c -> c.verdict() == verdict).toList();
    }

    private static String found(List<Check> checks, String subject) {
        return checks.stream()
                .filter(c -> c.subject().equals(subject))
                .map(c -> c.verdict().text() + ": " + c.found())
                .collect(Collectors.joining("\n"));
    }

    private static String notWell(List<Check> checks) {
        return checks.stream()
                .filter(c -> c.verdict() != Verdict.OK)
                .map(Check::toString)
                .collect(Collectors.joining("\n"));
    }

    @Test
    void nothingMustBeFixedOnTheShippedBench() {
        List<Check> checks = check(file(shippedText()));
        assertEquals(List.of(), of(checks, Verdict.FIX));
        assertEquals(
                List.of("meter"),
                of(checks, Verdict.NOTE).stream().map(Check::subject).toList());
        assertTrue(
                found(checks, "silence of controller")
                        .startsWith("ok: acts after 9.0 to 10.5 s of silence, declared 10 s"),
                notWell(checks));
        assertTrue(found(checks, "silence of the supply").contains("W before, 5."), notWell(checks));
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "IGNORES_DUTY   | fan-duty  | 0   | fan-duty              | FIX: fan-1 goes from 20",
                "IGNORES_DUTY   | pump-duty | 0   | pump-duty             | FIX: pump goes from 2",
                "FAN_STALL      | fan-2     | 0   | fan-2                 | FIX: 6.2 rpm, spread 37; it stands still",
                "FACTOR         | fan-2     | 8   | fan-2                 | FIX: 16",
                "FACTOR         | fan-2     | 20  | fan-2                 | FIX: no good reading: 10 out-of-range",
                "FACTOR         | fan-2     | 2   | group fans            | note: from 1",
                "NO_NUMBER      | coolant   | 0   | coolant               | FIX: no good reading: 10 device-fault",
                "LOST_PROBE     | coolant   | 0   | coolant               | FIX: no good reading: 10 device-fault",
                "POWER_ON_VALUE | coolant   | 0   | coolant               | FIX: no good reading: 10 device-fault",
                "DECIMAL_COMMA  | pump      | 0   | pump                  | FIX: no good reading: 10 garbled; \"MEAS:FREQ? (@21)\" by itself brings",
                "DECIMAL_COMMA  | level     | 0   | devices               | FIX: device meter: \"L?\" is answered with \"3",
                "OFFSET         | coolant   | -5  | coolant               | FIX: 17.",
                "OFFSET         | coolant   | 5   | coolant               | note: 27.",
                "OFFSET         | ambient   | -24 | ambient               | FIX: no good reading: 10 out-of-range",
                "OFFSET         | leak      | 2   | limits                | FIX: leak above 1 V for 1 s was reached",
                "SILENT         | meter     | 0   | devices               | FIX: device meter: ",
                "WRONG_IDENTITY | controller| 0   | devices               | FIX: device controller: simulated answers",
                "LEAK           | ''        | 0   | limits                | FIX: leak above 1 V for 1 s was reached",
                "HEAT_STAYS     | ''        | 0   | silence of the supply | FIX: the supply says 0.0 W, but"
            })
    void aFaultIsFoundAndNamed(Fault.Kind kind, String target, double value, String subject, String found) {
        List<Check> checks = check(file(shippedText()), new Fault(kind, target, 1, AN_HOUR, value));
        assertTrue(found(checks, subject).startsWith(found), found(checks, subject) + "\n" + notWell(checks));
        assertEquals(found.startsWith("FIX"), !of(checks, Verdict.FIX).isEmpty(), notWell(checks));
    }

    @Test
    void anOutputThatNobodySawActIsNotCalledWell() {
        List<Check> checks = check(file(shippedText()), new Fault(Fault.Kind.NO_NUMBER, "pump", 1, AN_HOUR, 0));
        assertTrue(found(checks, "pump-duty").startsWith("note: 100 % to 90.00 % and back"), notWell(checks));
        assertTrue(found(checks, "fan-duty").startsWith("ok: "), notWell(checks));
    }

    @Test
    void swappedOutputsAreFound() {
        VirtualClock clock = clock();
        List<Check> checks = onLines(
                file(shippedText()),
                clock,
                text -> text.replace("SOUR1", "SOUR9").replace("SOUR2", "SOUR1").replace("SOUR9", "SOUR2"));
        assertTrue(found(checks, "fan-duty").contains("FIX: moves pump from "), notWell(checks));
        assertTrue(found(checks, "pump-duty").contains("FIX: moves fan-1 from "), notWell(checks));
    }

    /** Changes the bench file by which the lines of another simulator are reached. */
    private interface Change {
        String of(String yaml);
    }

    private static List<Check> onLines(BenchFile simulated, VirtualClock clock, Change change) {
        assumeTrue(Pty.supported());
        try (StandaloneSimulator simulator = StandaloneSimulator.start(simulated, "A", 1, clock)) {
            BenchFile file = file(change.of(simulator.benchFile()));
            List<String> progress = new ArrayList<>();
            try (Bench bench = Benches.real(file, () -> Path.of("unused"), c -> {
                throw new AssertionError("no computer in this bench");
            })) {
                BenchCheck check = new BenchCheck(bench, clock, progress::add);
                List<Check> checks = check.run();
                assertTrue(check.simulated(), "the lines say that they are simulated");
                assertEquals("the safe state", progress.get(progress.size() - 1));
                assertEquals(100.0, simulator.truth().fanDutyPercent());
                assertEquals(0.0, supplyWatts(bench));
                return checks;
            }
        } catch (java.io.IOException e) {
            throw new AssertionError(e);
        }
    }

    @Test
    void worksOnRealLines() {
        List<Check> checks = onLines(file(shippedText()), clock(), yaml -> yaml);
        assertEquals(List.of(), of(checks, Verdict.FIX));
        assertTrue(found(checks, "silence of controller").startsWith("ok: acts after 9.0 to 10.5 s"), notWell(checks));
        assertTrue(found(checks, "safe state").startsWith("ok: heat off, fan-duty 100.00 %, pump-duty 100.00 %"));
    }

    @Test
    void aCutOffThatDoesNotActIsFound() {
        BenchFile without = file(shippedText()
                .replace(", silence-cutoff: 10 s", "")
                .replace(", cutoff: { silence: 10 s, by: supply }", ""));
        List<Check> checks = onLines(
                without,
                clock(),
                yaml -> yaml.replace("timeout: 300 ms }\n  meter", "timeout: 300 ms, silence-cutoff: 10 s }\n  meter")
                        .replace(
                                "readback: \"SOUR3:POW?\"",
                                "readback: \"SOUR3:POW?\", cutoff: { silence: 10 s, by: supply }"));
        assertEquals(
                "FIX: did nothing within 12.0 s of silence; declared are 10 s", found(checks, "silence of controller"));
        assertEquals(
                "FIX: did nothing within 12.0 s of silence; declared are 10 s", found(checks, "silence of the supply"));
    }

    @Test
    void aCutOffThatActsEarlierThanDeclaredIsTimed() {
        BenchFile earlier = file(shippedText().replace("silence-cutoff: 10 s", "silence-cutoff: 5 s"));
        List<Check> checks =
                onLines(earlier, clock(), yaml -> yaml.replace("silence-cutoff: 5 s", "silence-cutoff: 10 s"));
        assertTrue(found(checks, "silence of controller").startsWith("note: acts after 4.5 to 6.0 s"), notWell(checks));
    }

    @Test
    void withoutCutOffsTheyAreAskedFor() {
        List<Check> checks = check(file(shippedText()
                .replace(", silence-cutoff: 10 s", "")
                .replace(", cutoff: { silence: 10 s, by: supply }", "")));
        assertEquals("FIX: no cut-off is declared", found(checks, "silence of controller"));
        assertEquals("FIX: no cut-off is declared", found(checks, "supply"));
    }

    @Test
    void whatIsNotThereIsToldInOneGo() {
        BenchFile file = file(shippedText());
        List<Check> checks = check(
                file,
                new Fault(Fault.Kind.HANG_UP, "controller", 1, AN_HOUR),
                new Fault(Fault.Kind.HANG_UP, "meter", 1, AN_HOUR));
        assertEquals(
                List.of("devices", "devices"),
                checks.stream().map(Check::subject).toList());
    }
}
