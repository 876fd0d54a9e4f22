package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.AcousticResult;
import org.plateaubench.results.NightFinding;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;

/** Nights of listening on the simulated bench: from levels to matched speeds to thermal results, and what spoils them. */
class AcousticNightTest {

    private static final String HEAD = """
            title: Sound
            purpose: How loud are the fans, and how cool do they keep the loop at equal noise?
            sample-every: 1 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            heat: { workload: compile }
            measurements:
            """;
    private static final String CHARACTERISE =
            "  - characterise: { from: 0 %, to: 100 %, by: 10 %, settle: 10 s, sweeps: 1, starts: 1 }\n";
    private static final String THERMAL = """
              - thermal:
                  cooldown: { each: none, duty: 60 %, until: { slope: 5 K/h, window: 2 min, for: 10 s }, within-baseline: 0.5 K, at-least: 1 min, at-most: 10 min }
                  soak: { until: { slope: 5 K/h, window: 2 min, for: 10 s }, at-least: 2 min, at-most: 20 min }
                  dwell: { average: 2 min }
                  steps: [STEPS]
                  repeats: 1
                  order: { kind: as-written }
            """;
    private static final String FANS = """
            set: A
            specimens: [A-1, A-2, A-3]
            mount: { number: 1 }
            rated-speed: 2000 rpm
            """;
    private static final String CALM =
            "background-night: 0 dB, background-wander: 0.05 dB, gusts: 0, level-fluctuation: 0.3 dB";
    private static final String SET_A = "level: 18 dB, level-slope: 50 dB, spread: 0 %, speed-drift: 0 %";
    private static final String SIX_SPEEDS = "900 rpm, 1100 rpm, 1300 rpm, 1500 rpm, 1700 rpm, 1900 rpm";

    private static String acoustic(String speeds, String more) {
        return "  - acoustic: { speeds: [" + speeds + "], listen: 1 min, background: { listen: 30 s, drift: 0.5 dB }"
                + more + " }\n";
    }

    private static String thermal(String steps) {
        return THERMAL.replace("STEPS", steps);
    }

    private static NightFiles files(String measurements, String settings, String set) {
        return SimulatedNights.files(HEAD + measurements, FANS, SimulatedNights.bench(settings, set));
    }

    /** Listens and matches, and ends when the thermal measurement would begin. */
    private static SimulatedNights.Left listen(String settings, String set, String steps, String more, long seed)
            throws IOException {
        return SimulatedNights.runUntil(
                "baseline", files(acoustic(SIX_SPEEDS, more) + thermal(steps), settings, set), Optional.empty(), seed);
    }

    private static long spoiled(SimulatedNights.Left left, String reason) {
        return left.results().passes().stream()
                .filter(p ->
                        p.status() == PassResult.Status.SPOILED && p.reason().startsWith(reason))
                .count();
    }

    private static List<String> kinds(SimulatedNights.Left left) {
        return left.results().findings().stream().map(NightFinding::kind).toList();
    }

    @Test
    void theRecordHoldsTheChainFromLevelToMatchedSpeedToThermalResult() throws Exception {
        SimulatedNights.Left left = SimulatedNights.run(
                files(
                        CHARACTERISE
                                + acoustic(SIX_SPEEDS, "")
                                + thermal("{ own-level: 24 dB }, { above-background: 4 dB }"),
                        CALM,
                        SET_A),
                5);
        assertEquals(Exit.DONE, left.end().exit(), left.end().reason());
        AcousticResult sound = left.results().acoustic().orElseThrow();
        assertEquals(8, sound.levels().size());
        assertEquals(50.0, sound.line().orElseThrow().slopeDbPerDecade(), 3.0);
        // By the truth of set A, 18 dB at 1000 rpm and 50 dB a decade, 24 dB is at 1318.3 rpm.
        AcousticResult.Match match = sound.matches().get(0);
        assertTrue(match.lowRpm() <= 1318.3 && match.highRpm() >= 1318.3, match.toString());
        assertEquals(24.0, match.ownLevelDb(), 0.001);
        assertTrue(match.verification().orElseThrow().agrees(), match.toString());

        List<Map<String, Object>> begun = left.decided("pass-begun").stream()
                .filter(f -> "24 dB own level".equals(f.get("step")) && !f.containsKey("measurement"))
                .toList();
        assertEquals(match.rpm(), ((Number) begun.get(0).get("speed")).doubleValue());
        StepResult step = left.results().steps().get(0);
        assertEquals("24 dB own level", step.step());
        assertEquals(match.rpm(), step.fanRpm(), 0.01 * match.rpm());

        Map<String, Object> matched = left.decided("matched").get(0);
        assertTrue(matched.containsKey("from-tick") && matched.containsKey("to-tick"), matched.toString());
        assertEquals(Optional.empty(), left.retraced());
    }

    @Test
    void gustsAreLeftOutByTheRuleAndStayInTheRecord() throws Exception {
        SimulatedNights.Left left =
                listen(CALM.replace("gusts: 0", "gusts: 30, gust-level: 10 dB"), SET_A, "{ own-level: 24 dB }", "", 2);
        AcousticResult sound = left.results().acoustic().orElseThrow();
        assertTrue(sound.levels().stream().anyMatch(l -> l.rejectedPercent() > 0), sound.toString());
        AcousticResult.Match match = sound.matches().get(0);
        assertTrue(match.lowRpm() <= 1318.3 && match.highRpm() >= 1318.3, match.toString());
        Map<String, Object> listened = left.decided("listened").get(0);
        long ticks = ((Number) listened.get("to-tick")).longValue() - ((Number) listened.get("from-tick")).longValue();
        assertEquals(29, ticks, "every second of the listen has its sample");
    }

    @Test
    void aListenThatIsMostlyGustsIsRepeated() throws Exception {
        SimulatedNights.Left left = listen(
                CALM.replace("gusts: 0", "gusts: 60, gust-level: 10 dB"),
                SET_A,
                "{ own-level: 24 dB }",
                ", gusts: { block: 1 s, above: 2 dB, guard: 2 s, at-most: 20 % }",
                3);
        assertTrue(spoiled(left, "gusts: ") > 0, left.results().passes().toString());
    }

    @Test
    void aDriftingBackgroundSpoilsTheBracket() throws Exception {
        SimulatedNights.Left left = listen(CALM + ", background-drift: 10 dB", SET_A, "{ own-level: 24 dB }", "", 1);
        // Brackets of about three minutes: half a decibel each, so that some pass and some do not.
        assertTrue(
                spoiled(left, "background drifted by") > 0,
                left.results().passes().toString());
    }

    @Test
    void aBracketThatNeverHoldsIsGivenUpAndTheLevelHasNoSpeed() throws Exception {
        String measurements = acoustic(
                        "1100 rpm, 1300 rpm, 1500 rpm",
                        ", gusts: { block: 1 s, above: 2 dB, guard: 0 s, at-most: 1 % }")
                + thermal("{ own-level: 24 dB }, { speed: 1500 rpm }");
        SimulatedNights.Left left = SimulatedNights.run(
                files(measurements, CALM.replace("gusts: 0", "gusts: 60, gust-level: 20 dB"), SET_A), 1);
        assertEquals(Exit.PASSES_MISSING, left.end().exit(), left.end().reason());
        assertTrue(kinds(left).contains("no-level-line"), kinds(left).toString());
        assertEquals(0, left.results().steps().get(0).passes());
        assertEquals(1, left.results().steps().get(1).passes());
        assertEquals(Optional.empty(), left.retraced());
    }

    @Test
    void fansThatCannotStopAreRefusedWithTheReason() throws Exception {
        String never = "min-speed: 420 rpm, min-duty: 20 %, start-duty: 0 %, stop-duty: 0 %";
        for (String before : List.of("", CHARACTERISE)) {
            SimulatedNights.Left left = SimulatedNights.run(files(before + acoustic(SIX_SPEEDS, ""), CALM, never), 1);
            assertEquals(Exit.PASSES_MISSING, left.end().exit());
            assertTrue(
                    left.end().reason().contains("no sound was measured: the fans"),
                    left.end().reason());
            assertTrue(left.end().reason().contains("fan-switch"), left.end().reason());
            assertTrue(kinds(left).contains("measurement-refused"), kinds(left).toString());
            assertEquals(Optional.empty(), left.retraced());
        }
    }

    @Test
    void fansThatCannotStopAreSwitchedOffWhereTheBenchCan() throws Exception {
        String bench = SimulatedNights.bench(
                        CALM, SET_A + ", min-speed: 420 rpm, min-duty: 20 %, start-duty: 0 %, stop-duty: 0 %")
                .replace(
                        "actuators:\n",
                        "actuators:\n  fan-switch: { device: controller, set: \"SOUR4:PULS:DCYC {percent}\", readback:"
                                + " \"SOUR4:PULS:DCYC?\", safe: 100 % }\n");
        SimulatedNights.Left left = SimulatedNights.run(
                SimulatedNights.files(HEAD + CHARACTERISE + acoustic(SIX_SPEEDS, ""), FANS, bench), 1);
        assertEquals(Exit.DONE, left.end().exit(), left.end().reason());
        assertEquals(
                50.0,
                left.results().acoustic().orElseThrow().line().orElseThrow().slopeDbPerDecade(),
                3.0);
    }

    @Test
    void fansThatStickAreStartedForEachListenAllTheSame() throws Exception {
        SimulatedNights.Left left = SimulatedNights.run(
                files(
                        CHARACTERISE + acoustic(SIX_SPEEDS, ""),
                        CALM,
                        SET_A + ", start-duty: 30 %, start-scatter: 8 %, stop-duty: 14 %"),
                4);
        assertEquals(Exit.DONE, left.end().exit(), left.end().reason());
        assertEquals(
                0,
                left.results().passes().stream()
                        .filter(p -> p.status() == PassResult.Status.SPOILED)
                        .count());
    }

    @Test
    void itDoesNotBeginBeforeItsTimeAndDoesNotWaitForTomorrow() throws Exception {
        // The simulated night begins at 22:10.
        SimulatedNights.Left later =
                SimulatedNights.run(files(acoustic(SIX_SPEEDS, ", not-before: 22:40"), CALM, SET_A), 1);
        List<Map<String, Object>> stages = later.decided("stage");
        assertEquals("wait", stages.get(1).get("stage"));
        assertEquals(30 * 60, ((Number) stages.get(2).get("tick")).longValue());
        SimulatedNights.Left past =
                SimulatedNights.run(files(acoustic(SIX_SPEEDS, ", not-before: 22:00"), CALM, SET_A), 1);
        assertFalse(past.decided("stage").stream().anyMatch(s -> "wait".equals(s.get("stage"))));
    }

    @Test
    void aSilentMeterSpoilsTheListenAndTheNightGoesOn() throws Exception {
        NightFiles files = files(acoustic("1100 rpm, 1300 rpm, 1500 rpm", ""), CALM, SET_A);
        SimulatedNights.Left left =
                SimulatedNights.run(files, 1, new Fault(Fault.Kind.SILENT, "meter", 85_000, 145_000));
        assertEquals(1, spoiled(left, "no good reading of the level for 5 s or more"));
        assertEquals(Exit.DONE, left.end().exit(), left.end().reason());
    }

    @Test
    void aMatchThatIsTooWideIsAFindingAndNoFailure() throws Exception {
        // 0.1 dB above the background: no meter can tell the speed of it in a minute.
        SimulatedNights.Left left = SimulatedNights.run(
                files(
                        acoustic(SIX_SPEEDS, "") + thermal("{ above-background: 0.1 dB }"),
                        CALM.replace("level-fluctuation: 0.3", "level-fluctuation: 1"),
                        SET_A.replace("18 dB", "12 dB")),
                1);
        assertTrue(kinds(left).contains("match-too-wide"), kinds(left).toString());
        assertTrue(kinds(left).contains("match-extrapolated"), kinds(left).toString());
        assertEquals(Exit.DONE, left.end().exit(), left.end().reason());
    }

    @Test
    void aResonanceIsAFinding() throws Exception {
        SimulatedNights.Left left = listen(
                CALM,
                SET_A.replace("18 dB", "30 dB") + ", resonance-speed: 1300 rpm, resonance-level: 4 dB",
                "{ own-level: 36 dB }",
                "",
                1);
        NightFinding resonance = left.results().findings().stream()
                .filter(f -> f.kind().equals("resonance"))
                .findFirst()
                .orElseThrow();
        assertEquals("1300 rpm", resonance.about());
        assertTrue(kinds(left).contains("match-near-resonance"), kinds(left).toString());
        AcousticResult.Match match =
                left.results().acoustic().orElseThrow().matches().get(0);
        assertTrue(match.lowRpm() <= 1318.3 && match.highRpm() >= 1318.3, match.toString());
    }

    @Test
    void levelsOfAnotherNightAreTakenForStepsAboveTheBackground() throws Exception {
        String measurements = acoustic(SIX_SPEEDS, "") + thermal("{ above-background: 2 dB }");
        Input.LevelsFrom from =
                new Input.LevelsFrom("the-other-night", List.of(new Input.StepLevel("2 dB above background", 27.0)));
        SimulatedNights.Left left =
                SimulatedNights.runUntil("baseline", files(measurements, CALM, SET_A), Optional.of(from), 1);
        AcousticResult.Match match =
                left.results().acoustic().orElseThrow().matches().get(0);
        assertEquals("the-other-night", match.levelsFrom());
        assertEquals(27.0, match.ownLevelDb(), 0.001);
        // 18 dB at 1000 rpm and 50 dB a decade: 27 dB at 1513.6 rpm.
        assertTrue(match.lowRpm() <= 1513.6 && match.highRpm() >= 1513.6, match.toString());
        assertEquals(Optional.empty(), left.retraced());
    }
}
