package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.results.NightFinding;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.ResultFiles;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.units.Decimals;

/** Thermal results of whole nights on changed simulated benches. */
class ThermalNightTest {

    private static final String BENCH = text(NightFiles.simulatedBench());

    private static String text(SourceText source) {
        return new String(source.bytes(), StandardCharsets.UTF_8);
    }

    private static NightFiles files(String bench) {
        return NightFixture.files(
                "short-night.yaml", new SourceText("bench.yaml", bench.getBytes(StandardCharsets.UTF_8)));
    }

    private static NightResults results(String bench) throws Exception {
        NightFiles files = files(bench);
        return Rehearsal.of(files, 1, NightFixture.start(files)).results();
    }

    private static List<String> kinds(NightResults results) {
        return results.findings().stream().map(NightFinding::kind).toList();
    }

    private static List<String> names(StepResult step) {
        return step.estimate().orElseThrow().full().contributions().stream()
                .map(Contribution::name)
                .toList();
    }

    @Test
    void everyStepHasItsBudgetAndBothIntervals() throws Exception {
        NightResults results = results(BENCH);
        assertEquals(List.of(), kinds(results));
        for (StepResult step : results.steps()) {
            assertEquals(
                    List.of(
                            "spread between passes",
                            "settling correction",
                            "coolant probe, calibration",
                            "ambient probe, calibration",
                            "change of the baseline",
                            "correction to nominal speed"),
                    names(step));
            assertTrue(step.repeatabilityKelvin() > 0.0 && step.repeatabilityKelvin() < step.expandedKelvin());
            assertTrue(step.coverageFactor() > 1.8 && step.coverageFactor() < 3.0, "k = " + step.coverageFactor());
            assertTrue(step.speedExponent() >= -1.0 && step.speedExponent() <= -0.6, "" + step.speedExponent());
            assertEquals(step.coolantRiseKelvin() / step.nominalWatts(), step.coolantToAmbientResistance(), 1e-9);
            double mean = results.passes().stream()
                    .filter(p -> p.counts() && p.step().equals(step.step()))
                    .mapToDouble(PassResult::nominalRiseKelvin)
                    .average()
                    .orElseThrow();
            assertEquals(step.coolantRiseKelvin(), mean, 1e-9);
        }
        String json = new String(ResultFiles.json(results), StandardCharsets.UTF_8);
        for (String field : List.of(
                "repeatability_K",
                "expanded_uncertainty_K",
                "coverage_factor",
                "settling_K",
                "budget",
                "monte_carlo_confirms")) {
            assertTrue(json.contains("\"" + field + "\""), field);
        }
        String csv = new String(ResultFiles.csv(results), StandardCharsets.UTF_8);
        assertTrue(csv.startsWith("pass,step,"), csv);
        assertTrue(csv.contains(",approach,true,"), csv);
    }

    @Test
    void withoutCommissioningASlowModeIsNotExcluded() throws Exception {
        NightResults results = results(BENCH.replaceAll("(?m)^commissioning: .*\\n", ""));
        assertEquals("not-commissioned", kinds(results).get(0));
        assertTrue(results.findings().get(0).text().startsWith("settled; slow mode not excluded"));
        assertTrue(results.passes().stream().noneMatch(p -> p.dwell().settling().slowModeExcluded()));
    }

    @Test
    void withoutAMeasuredHeatFlowNothingIsCorrectedForIt() throws Exception {
        NightResults results = results(BENCH.replaceAll("(?m)^  power: .*\\n", ""));
        assertEquals(List.of("heat-flow-unknown"), kinds(results));
        assertTrue(results.steps().stream()
                .allMatch(s -> Double.isNaN(s.nominalWatts())
                        && Double.isNaN(s.coolantToAmbientResistance())
                        && s.coolantRiseKelvin() > 5.0));
    }

    @Test
    void ambientProbesThatDoNotAgreeAreSaid() throws Exception {
        String line = "(?m)^  ambient: .*\\n";
        String two = BENCH.replaceAll(line, """
                  ambient-left:   { device: controller, ask: "MEAS:TEMP? (@1)", unit: °C, uncertainty: { limits: 0.10 K }, valid: [5 °C, 45 °C] }
                  ambient-right:  { device: controller, ask: "MEAS:TEMP? (@3)", unit: °C, uncertainty: { limits: 0.10 K }, valid: [5 °C, 45 °C] }
                """.indent(2).replaceAll("(?m)^    ", "  "));
        NightFiles files = files(two);
        assertEquals(
                List.of(),
                kinds(Rehearsal.of(files, 1, NightFixture.start(files)).results()));
        VirtualClock clock = NightFixture.clock(files);
        SimulatedBench bench = NightFixture.bench(files, 1, clock, Transport.IN_PROCESS);
        bench.faults().add(new Fault(Fault.Kind.OFFSET, "ambient-right", 0, Long.MAX_VALUE, 0.8));
        NightResults results = Rehearsal.of(files, NightFixture.start(files), bench, clock, NightListener.NONE)
                .results();
        assertEquals(List.of("ambient-probes-disagree"), kinds(results));
        assertEquals("ambient-", results.findings().get(0).about().substring(0, 8));
    }

    /** With a flow meter and a probe on each side of the cold plate: 200 W warm 4 L/min by 0.72 K. */
    @Test
    void flowAndWarmingOfTheCoolantCheckTheHeatFlow() throws Exception {
        String probe =
                "{ device: controller, ask: \"MEAS:TEMP? (@%d)\", unit: °C, uncertainty: { limits: 0.02 K }, valid: [5 °C, 80 °C] }";
        String bench = BENCH.replaceAll(
                        "(?m)^  coolant: .*\\n",
                        "  coolant-in: " + probe.formatted(2) + "\n  coolant-out: " + probe.formatted(3)
                                + "\n  flow: { device: controller, ask: \"MEAS:FLOW? (@4)\", unit: L/min, uncertainty: { limits:"
                                + " 0.1 L/min } }\n")
                .replace("channel: coolant,", "channel: coolant-out,");
        NightFinding right = balance(files(bench), 0.0);
        assertEquals("heat-balance", right.kind());
        assertTrue(
                right.text().matches("flow and warming of the coolant say (19|20)\\d ± 11 W, 200 W were measured"),
                right.text());
        NightFinding wrong = balance(files(bench), 1.0);
        assertEquals("heat-balance-disagrees", wrong.kind());
        assertTrue(
                wrong.text().matches("flow and warming .* 2[45]\\d ± 13 W, 200 W were measured: they do not agree"),
                wrong.text());
    }

    private static NightFinding balance(NightFiles files, double flowOffset) throws Exception {
        VirtualClock clock = NightFixture.clock(files);
        SimulatedBench bench = NightFixture.bench(files, 1, clock, Transport.IN_PROCESS);
        bench.faults().add(new Fault(Fault.Kind.OFFSET, "flow", 0, Long.MAX_VALUE, flowOffset));
        return Rehearsal.of(files, NightFixture.start(files), bench, clock, NightListener.NONE)
                .results()
                .findings()
                .get(0);
    }

    /** A coolant probe that walks away by 1.5 K/h, above the limit of 1 K/h. */
    @Test
    void aRiseThatNeverSettlesIsMarkedWithItsBoundInEveryPass() throws Exception {
        NightFiles files = files(BENCH);
        VirtualClock clock = NightFixture.clock(files);
        SimulatedBench bench = NightFixture.bench(files, 1, clock, Transport.IN_PROCESS);
        bench.faults().add(new Fault(Fault.Kind.DRIFT, "coolant", 0, Long.MAX_VALUE, 1.5));
        NightResults results = Rehearsal.of(files, NightFixture.start(files), bench, clock, NightListener.NONE)
                .results();
        List<NightFinding> marks = results.findings().stream()
                .filter(f -> f.kind().equals("not-settled"))
                .toList();
        assertEquals(
                results.passes().stream().map(p -> "pass " + p.pass()).toList(),
                marks.stream().map(NightFinding::about).toList());
        for (NightFinding mark : marks) {
            assertTrue(
                    mark.text()
                            .matches(
                                    "had not settled after 75 min: slope 1\\.\\d\\d K/h, up to \\d\\.\\d\\d K of rise may"
                                            + " remain"),
                    mark.text());
        }
        assertTrue(results.steps().stream().allMatch(s -> s.settled() == 0 && s.passes() == 2));
    }

    /** Soaks of a minute or two, once each: most of the rise is what the fit of its beginning says. */
    @Test
    void aRiseThatIsMostlyExtrapolatedIsAFindingAndHasNoSpread() throws Exception {
        SourceText plan =
                new SourceText("quick-look.yaml", Files.readAllBytes(Path.of("protocols", "quick-look.yaml")));
        NightFiles files = NightFiles.read(plan, NightFiles.simulatedFans(), NightFiles.simulatedBench())
                .value()
                .orElseThrow();
        NightResults results = Rehearsal.of(files, 1, NightFixture.start(files)).results();
        List<String> expected = results.passes().stream()
                .map(p -> "pass " + p.pass() + " a rise of "
                        + Decimals.fixed(p.dwell().coolantRiseKelvin(), 2) + " K was measured; "
                        + Decimals.fixed(p.dwell().settling().correctionKelvin(), 2)
                        + " K were added by the fit of its approach: it needs a longer soak")
                .toList();
        assertEquals(2, expected.size());
        assertEquals(
                expected,
                results.findings().stream()
                        .filter(f -> f.kind().equals("extrapolated"))
                        .map(f -> f.about() + " " + f.text())
                        .toList());
        for (StepResult step : results.steps()) {
            assertEquals("scatter of the readings", names(step).get(0));
        }
    }

    @Test
    void aHeatingCycleIsFoundAndJournalledWithWhereItCameFrom() throws Exception {
        NightFiles files = files(BENCH.replace(
                "    slow-mode-share: 3 %", "    heating-cycle-amplitude: 0.5 K\n    slow-mode-share: 3 %"));
        List<Map<String, Object>> cycles = new ArrayList<>();
        VirtualClock clock = NightFixture.clock(files);
        Rehearsal rehearsal = Rehearsal.of(
                files,
                NightFixture.start(files),
                NightFixture.bench(files, 1, clock, Transport.IN_PROCESS),
                clock,
                new NightListener() {
                    @Override
                    public void journalled(double seconds, Map<String, Object> fields) {
                        if ("heating-cycle".equals(fields.get("decision"))) {
                            cycles.add(fields);
                        }
                    }
                });
        assertEquals(4, rehearsal.passesDone(), rehearsal.reason());
        assertFalse(cycles.isEmpty());
        for (Map<String, Object> cycle : cycles) {
            double period = ((Number) cycle.get("period-seconds")).doubleValue();
            assertTrue(period > 600 && period < 850, "period " + period);
            assertTrue(((Number) cycle.get("from-tick")).longValue() < ((Number) cycle.get("to-tick")).longValue());
        }
    }

    @Test
    void theSameNightsGiveTheSameStatistics() {
        NightFiles files = files(BENCH);
        String once = ManyNightsJson.of(ManyNights.of(files, 2, 5, NightFixture.start(files), done -> {}));
        String again = ManyNightsJson.of(ManyNights.of(files, 2, 5, NightFixture.start(files), done -> {}));
        assertEquals(once, again);
        for (String field :
                List.of("coverage", "coverage_low", "coverage_high", "falsely_different", "found_in_80_percent_K")) {
            assertTrue(once.contains("\"" + field + "\" : "), field + " in " + once);
        }
    }
}
