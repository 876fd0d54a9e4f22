package org.plateaubench.results;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.PassRise;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.StepPasses;
import org.plateaubench.uncertainty.Verdict;

class NightComparisonTest {

    private static final String PLAN = """
            title: Two steps
            purpose: Is there a difference?
            sample-every: 5 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            heat: { workload: compile }
            measurements:
              - thermal:
                  cooldown: { each: block, duty: 60 %, until: { slope: 1 K/h, window: 10 min, for: 2 min }, within-baseline: 0.5 K, at-least: 5 min, at-most: 60 min }
                  soak: { until: { slope: 1 K/h, window: 15 min, for: 2 min }, at-least: 10 min, at-most: 75 min }
                  dwell: { average: 10 min }
                  steps: [ { speed: 800 rpm }, { speed: 1500 rpm } ]
                  repeats: 2
                  order: { kind: balanced, seed: 7 }
            """;

    private static final String BENCH = text(NightFiles.simulatedBench());

    /** A night's files for tests whose rises are made up. */
    static final NightFiles FILES = files(PLAN, BENCH);

    private static String text(SourceText source) {
        return new String(source.bytes(), StandardCharsets.UTF_8);
    }

    private static NightFiles files(String plan, String bench) {
        return NightFiles.read(source(plan), NightFiles.simulatedFans(), source(bench))
                .value()
                .orElseThrow();
    }

    private static SourceText source(String text) {
        return new SourceText("file", text.getBytes(StandardCharsets.UTF_8));
    }

    /** A night whose two passes of each step lie 0.1 K below and above the rises given. */
    static ComparedNight night(String record, String set, String opened, double slow, double fast) {
        return night(record, set, opened, FILES, true, 200.0, slow, fast);
    }

    /** The same on a bench of another name. */
    static ComparedNight onOtherBench(String record, String set, String opened, double slow, double fast) {
        NightFiles other = files(PLAN, BENCH.replace("bench: simulated loop", "bench: other loop"));
        return night(record, set, opened, other, true, 200.0, slow, fast);
    }

    private static ComparedNight night(
            String record,
            String set,
            String opened,
            NightFiles files,
            boolean simulated,
            double watts,
            double slow,
            double fast) {
        List<StepPasses> passes = List.of(step("800 rpm", slow), step("1500 rpm", fast));
        List<StepEstimate> estimates = StepEstimate.of(passes, 0.0);
        List<StepResult> steps = new ArrayList<>();
        for (int i = 0; i < 2; i++) {
            steps.add(new StepResult(
                    passes.get(i).step(),
                    2,
                    2,
                    estimates.get(i).riseKelvin(),
                    Optional.of(passes.get(i)),
                    Optional.of(estimates.get(i)),
                    i == 0 ? 800 : 1500,
                    watts,
                    -0.8,
                    Double.NaN,
                    Double.NaN,
                    watts,
                    Double.NaN));
        }
        NightResults results = new NightResults(
                "Two steps",
                set,
                1,
                files.bench().name(),
                simulated,
                "complete",
                "",
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                steps,
                List.of(),
                Optional.empty(),
                Optional.empty(),
                List.of());
        return new ComparedNight(record, opened, files, results);
    }

    private static StepPasses step(String name, double rise) {
        return new StepPasses(
                name,
                List.of(new PassRise(rise - 0.1, 0.0, 0.0, 0.0), new PassRise(rise + 0.1, 0.0, 0.0, 0.0)),
                List.of(Contribution.of("coolant probe, calibration", 5.0).asShared()));
    }

    private static NightComparison compare(ComparedNight... nights) throws NightComparison.NotComparable {
        return NightComparison.of(List.of(nights), Optional.empty(), 0.0);
    }

    private static List<String> reasons(ComparedNight... nights) {
        return assertThrows(NightComparison.NotComparable.class, () -> compare(nights))
                .reasons();
    }

    @Test
    void setsAreComparedWithThatOfTheFirstRecord() throws NightComparison.NotComparable {
        NightComparison c =
                compare(night("one", "A", "2026-01-01", 12.0, 8.0), night("two", "B", "2026-01-02", 13.0, 8.0));
        assertEquals("A", c.against());
        NightComparison.OnBench bench = c.benches().get(0);
        assertEquals(List.of("A", "B"), bench.order());
        assertFalse(bench.returnsToASet());
        Difference slow = bench.differences().get(0);
        assertEquals("B", slow.set());
        assertEquals(1.0, slow.kelvin(), 1e-12);
        assertEquals(Verdict.WARMER, slow.verdict());
        // the probe's 5 K cancel: what is left is the spread of two nights with two passes each
        assertTrue(
                slow.budget().standardUncertainty() < 0.2,
                "u = " + slow.budget().standardUncertainty());
        assertFalse(c.disagrees());
    }

    @Test
    void theSetToCompareWithCanBeNamed() throws NightComparison.NotComparable {
        NightComparison c = NightComparison.of(
                List.of(night("one", "A", "2026-01-01", 12.0, 8.0), night("two", "B", "2026-01-02", 13.0, 8.0)),
                Optional.of("B"),
                0.0);
        assertEquals("A", c.benches().get(0).differences().get(0).set());
        assertEquals(
                List.of("no record is of fan set C, only of A, B"),
                assertThrows(
                                NightComparison.NotComparable.class,
                                () -> NightComparison.of(
                                        List.of(
                                                night("one", "A", "2026-01-01", 12.0, 8.0),
                                                night("two", "B", "2026-01-02", 13.0, 8.0)),
                                        Optional.of("C"),
                                        0.0))
                        .reasons());
    }

    @Test
    void risesAreBroughtToOneHeatFlow() throws NightComparison.NotComparable {
        NightFiles files = files(PLAN, BENCH);
        NightComparison c = compare(
                night("one", "A", "2026-01-01", files, true, 200.0, 12.0, 8.0),
                night("two", "B", "2026-01-02", files, true, 204.0, 12.24, 8.16));
        assertEquals(202.0, c.benches().get(0).heatFlowWatts(), 1e-9);
        assertEquals(0.0, c.benches().get(0).differences().get(0).kelvin(), 1e-9);
    }

    @Test
    void aSetThatIsMeasuredAgainIsShownAsSuch() throws NightComparison.NotComparable {
        NightComparison c = compare(
                night("three", "A", "2026-01-03", 12.1, 8.0),
                night("one", "A", "2026-01-01", 12.0, 8.0),
                night("two", "B", "2026-01-02", 13.0, 8.0));
        NightComparison.OnBench bench = c.benches().get(0);
        assertEquals(List.of("A", "B", "A"), bench.order());
        assertTrue(bench.returnsToASet());
        NightComparison.NightAgreement again = bench.nightAgreements().get(0);
        assertEquals("one", again.first());
        assertEquals("three", again.later());
        assertEquals(0.1, again.kelvin(), 1e-12);
        assertTrue(Math.abs(again.normalizedError()) < 1.0);
        assertTrue(bench.differences().get(0).nightsReplicated());
    }

    @Test
    void nightsOfOneSetThatDoNotAgreeAreSaid() throws NightComparison.NotComparable {
        assertFalse(compare(night("one", "A", "2026-01-01", 12.0, 8.0), night("two", "A", "2026-01-02", 12.1, 8.0))
                .disagrees());
        assertTrue(compare(night("one", "A", "2026-01-01", 12.0, 8.0), night("two", "A", "2026-01-02", 15.0, 8.0))
                .disagrees());
    }

    /**
     * Passes at a rise ± 0.1 K have a standard deviation of 0.1414 K, pooled over two steps with 2 degrees of freedom; a mean
     * of two of them has 0.1 K, the change between two nights 0.1414 K with 4 degrees of freedom. By tables of t, 2.776 (95 %)
     * makes it 0.393 K, 3.495 (97.5 %, since two steps are judged) 0.494 K, and 0.941 more than 2.776 (seen in 80 %) 0.526 K.
     * The probe's 5 K are in both nights and so not in the change. Worked by hand; the tolerance is what the spread grows by
     * where the rise does.
     */
    @Test
    void aChangeBeyondOneByItselfNeedNotBeApartAmongTwo() throws NightComparison.NotComparable {
        for (double change : new double[] {0.30, 0.45, 0.55}) {
            NightComparison c = compare(
                    night("one", "A", "2026-01-01", 12.0, 12.0), night("two", "A", "2026-01-02", 12.0 + change, 12.0));
            NightComparison.NightAgreement slow =
                    c.benches().get(0).nightAgreements().get(0);
            assertEquals(12.0, slow.firstKelvin(), 1e-12);
            assertEquals(0.393, slow.expandedKelvin(), 0.006);
            assertEquals(0.494, slow.togetherKelvin(), 0.008);
            assertEquals(0.526, slow.detectableKelvin(), 0.008);
            assertEquals(change / 0.393, slow.normalizedError(), 0.03);
            assertEquals(change > 0.5, slow.apart(), "change of " + change + " K");
            assertEquals(change > 0.5, c.disagrees());
        }
    }

    @Test
    void differencesOnTwoBenchesAreComparedByTheirENumber() throws NightComparison.NotComparable {
        ComparedNight[] agreeing = {
            night("one", "A", "2026-01-01", 12.0, 8.0),
            night("two", "B", "2026-01-02", 13.0, 8.5),
            onOtherBench("three", "A", "2026-02-01", 14.0, 9.0),
            onOtherBench("four", "B", "2026-02-02", 15.1, 9.5)
        };
        NightComparison c = compare(agreeing);
        assertEquals(2, c.benches().size());
        NightComparison.BenchAgreement slow = c.benchAgreements().get(0);
        assertEquals(1.0, slow.firstKelvin(), 1e-12);
        assertEquals(1.1, slow.secondKelvin(), 1e-12);
        assertTrue(Math.abs(slow.normalizedError()) < 1.0);
        assertTrue(slow.detectableKelvin() > slow.expandedKelvin());
        assertFalse(c.disagrees());
        agreeing[3] = onOtherBench("four", "B", "2026-02-02", 20.0, 9.5);
        assertTrue(compare(agreeing).disagrees());
    }

    @Test
    void whatCannotBeComparedIsRefusedWithEveryReason() {
        ComparedNight one = night("one", "A", "2026-01-01", 12.0, 8.0);
        NightFiles real = files(PLAN, BENCH);
        assertEquals(
                List.of(
                        "two is measured, one is SIMULATED; what is simulated says nothing about what is measured",
                        "the heat flow of two was 150.0 W, that of one 200.0 W"),
                reasons(one, night("two", "B", "2026-01-02", real, false, 150.0, 12.0, 8.0)));
        NightFiles plan = files(PLAN.replace("Two steps", "Other title"), BENCH);
        assertEquals(
                List.of("two was made by another plan than one; the same bytes are needed"),
                reasons(one, night("two", "B", "2026-01-02", plan, true, 200.0, 12.0, 8.0)));
        NightFiles corrected =
                files(PLAN, BENCH.replace("ask: \"MEAS:TEMP? (@2)\"", "ask: \"MEAS:TEMP? (@2)\", correction: 0.1 K"));
        assertEquals(
                List.of(
                        "channel coolant of bench \"simulated loop\" was corrected otherwise in two than in one; its offset"
                                + " would not cancel"),
                reasons(one, night("two", "B", "2026-01-02", corrected, true, 200.0, 12.0, 8.0)));
        NightFiles seeded = files(PLAN, BENCH.replace("  seed: 1 ", "  seed: 2 "));
        assertEquals(
                List.of(
                        "the simulated bench \"simulated loop\" has another seed in two than in one, and so other sensors"),
                reasons(one, night("two", "B", "2026-01-02", seeded, true, 200.0, 12.0, 8.0)));
        assertEquals(
                List.of(
                        "bench \"simulated loop\" has only fan set A; rises of two benches cannot be compared, differences"
                                + " can: each needs A and another set",
                        "bench \"other loop\" has only fan set B; rises of two benches cannot be compared, differences can:"
                                + " each needs A and another set"),
                reasons(one, onOtherBench("two", "B", "2026-01-02", 12.0, 8.0)));
    }

    @Test
    void programsAndSpreadsheetsGetTheSameNumbers() throws NightComparison.NotComparable {
        NightComparison c =
                compare(night("one", "A", "2026-01-01", 12.0, 8.0), night("two", "B", "2026-01-02", 13.0, 8.0));
        String[] lines = ComparisonFiles.csv(c).split("\n");
        assertEquals(
                "simulated,bench,set,against,step,verdict,difference_K,expanded_uncertainty_K,coverage_factor,"
                        + "degrees_of_freedom,detectable_K,nights_replicated,night_spread_K",
                lines[0]);
        assertTrue(lines[1].startsWith("true,simulated loop,B,A,800 rpm,warmer,1.0000,"), lines[1]);
        assertEquals(4, lines.length);
        String json = ComparisonFiles.json(c);
        assertTrue(json.contains("\"verdict\" : \"warmer\""), json);
        assertTrue(json.contains("\"coverage_probability\" : 0.95"), json);
    }
}
