package org.plateaubench.plan;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;

import java.io.IOException;
import java.nio.file.Files;
import java.time.LocalTime;
import java.time.OffsetDateTime;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.SourceText;

class NightFilesTest {

    private static NightFiles realNight(String plan) {
        return NightFiles.read(
                        TestFiles.valid(plan),
                        TestFiles.valid("everything-fans.yaml"),
                        TestFiles.valid("everything-bench.yaml"))
                .value()
                .orElseThrow();
    }

    private static String messages(List<Problem> problems) {
        return problems.stream().map(Problem::text).collect(Collectors.joining("\n\n")) + "\n";
    }

    @Test
    void twelveFaultsAreToldTogetherInLineOrder() throws IOException {
        SourceText plan = TestFiles.named(TestFiles.FILES.resolve("faulty-together/twelve-faults.yaml"));
        List<Problem> problems = TestFiles.readPlanOnSimulatedBench(plan).problems();
        assertEquals(
                Files.readString(TestFiles.FILES.resolve("faulty-together/twelve-faults.txt")), messages(problems));
        assertEquals(12, problems.size());
        List<Integer> lines = problems.stream().map(p -> p.place().line()).toList();
        assertEquals(lines.stream().sorted().toList(), lines);
    }

    @Test
    void problemsOfAllThreeFilesComeInTheOrderPlanFansBench() {
        List<Problem> problems = NightFiles.read(
                        TestFiles.text("p.yaml", "title: x\n"),
                        TestFiles.text("f.yaml", "set: A\n"),
                        TestFiles.text("b.yaml", "bench: [\n"))
                .problems();
        assertEquals(
                List.of("p.yaml", "f.yaml", "b.yaml"),
                problems.stream().map(Problem::file).distinct().toList());
    }

    @Test
    void filesKeepTheirExactBytes() {
        SourceText plan = TestFiles.valid("base-plan.yaml");
        assertSame(
                plan.bytes(),
                TestFiles.readPlanOnSimulatedBench(plan)
                        .value()
                        .orElseThrow()
                        .planText()
                        .bytes());
    }

    /** The plan needs 12 min of listening and 90 min more at the least, and ends by 07:30. */
    @ParameterizedTest
    @CsvSource({"22:10, 0", "05:00, 0", "05:47, 0", "05:48, 1", "07:29, 1", "07:30, 0", "07:31, 0"})
    void finishByIsAnErrorOnlyIfNoBlockCanEndBefore(LocalTime start, int expected) {
        OffsetDateTime time = OffsetDateTime.parse("2026-11-24T00:00:00+01:00").with(start);
        assertEquals(
                expected,
                realNight("base-plan.yaml").problemsWhenStartedAt(time).size());
    }

    @Test
    void unattendedRunNeedsCutoffsForFansAndSupply() {
        assertEquals(List.of(), realNight("supply-plan.yaml").problemsWhenUnattended());
        String bench = TestFiles.string(TestFiles.valid("everything-bench.yaml"))
                .replace(", silence-cutoff: 10 s", "")
                .replace(", cutoff: { silence: 10 s, by: supply }", "");
        SourceText fans = TestFiles.valid("everything-fans.yaml");
        NightFiles night = NightFiles.read(TestFiles.valid("supply-plan.yaml"), fans, TestFiles.text("b.yaml", bench))
                .value()
                .orElseThrow();
        assertEquals("""
                b.yaml:5:3: error: nothing brings fans and pump to full speed when the program falls silent
                  5 |   controller: { port: /dev/serial/by-id/usb-example, baud: 38400, dialect: scpi, line-end: lf, identity: "EXAMPLE,FANCTL-2,0042,1.3", timeout: 300 ms }
                    |   ^^^^^^^^^^
                  needs silence-cutoff, such as silence-cutoff: 10 s, or somebody who sits by (--attended)
                  in devices.controller; nothing was sent to the bench  [CUTOFF_MISSING]

                b.yaml:29:1: error: nothing takes this heat away when the program falls silent
                  29 | supply: { device: controller, set: "SOUR3:POW {watt}", readback: "SOUR3:POW?" }
                     | ^^^^^^
                  needs cutoff, such as cutoff: { silence: 10 s, by: supply }, or somebody who sits by (--attended)
                  in supply; nothing was sent to the bench  [CUTOFF_MISSING]
                """, messages(night.problemsWhenUnattended()));
    }

    @Test
    void tighterLimitOfThePlanStillStopsThePump() {
        String text = TestFiles.string(TestFiles.valid("base-plan.yaml"))
                .replace("limits:", "limits:\n  - { channel: leak, above: 0.5 V, for: 1 s }");
        NightFiles night = TestFiles.readPlanOnSimulatedBench(TestFiles.text("p.yaml", text))
                .value()
                .orElseThrow();
        List<Limit> leak = night.plan().limitsOn(night.bench()).stream()
                .filter(l -> l.channel().equals("leak"))
                .toList();
        assertEquals(List.of(true, true), leak.stream().map(Limit::pumpOff).toList());
    }

    @Test
    void estimateOfTheFirstBlockAddsUpItsParts() {
        Plan plan = PlanReader.read(TestFiles.valid("base-plan.yaml")).value().orElseThrow();
        Measurement.Thermal thermal = plan.thermal().orElseThrow();
        NightEstimate shortest = NightEstimate.shortest(plan, thermal);
        double sound = 3 * (120 + 2 * 60);
        assertEquals(new NightEstimate(10, sound, 720, 720, 1020, 600), shortest);
        assertEquals(720 + 2 * (1020 + 600), shortest.blockSeconds(Measurement.Cooldown.Each.BLOCK, 2));
        assertEquals(2 * (720 + 1020 + 600), shortest.blockSeconds(Measurement.Cooldown.Each.PASS, 2));
        assertEquals(2 * (1020 + 600), shortest.blockSeconds(Measurement.Cooldown.Each.NONE, 2));
        assertEquals(10 + sound + 2 * 720 + 720 + 2 * (1020 + 600), shortest.oneBlockNightSeconds(thermal));
        assertEquals(new NightEstimate(10, sound, 3600, 3600, 4500, 600), NightEstimate.longest(plan, thermal));
    }
}
