package org.plateaubench.results;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.plateaubench.results.NightComparison.BenchAgreement;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.results.NightComparison.OnBench;

class ReplayVerdictTest {

    private static final ComparedNight FIRST = NightComparisonTest.night("first", "A", "2026-01-01", 12.0, 8.0);

    /** A change of a step whose interval is 0.1 K wide by itself and 0.12 K with the other one. */
    private static NightAgreement change(String step, double kelvin) {
        return new NightAgreement("A", step, "first", "again", 12.0, kelvin, 0.1, kelvin / 0.1, 0.14, 0.12);
    }

    private static ReplayVerdict sameBench(NightAgreement... changes) {
        OnBench bench = new OnBench(
                "loop",
                List.of("A", "A"),
                200.0,
                List.of(),
                new LevelComparison(List.of(), List.of(), List.of()),
                List.of(changes));
        return ReplayVerdict.of(FIRST, new NightComparison(true, "A", List.of(bench), List.of(), List.of()));
    }

    /** The difference of B to A on the second bench is so much less than on the first. */
    private static BenchAgreement apart(String step, double kelvin) {
        return new BenchAgreement("B", step, "loop", "other", 1.0, 1.0 - kelvin, 0.1, kelvin / 0.1, 0.14, 0.12);
    }

    private static ReplayVerdict otherBench(BenchAgreement... differences) {
        LevelComparison noLevels = new LevelComparison(List.of(), List.of(), List.of());
        List<OnBench> benches = List.of(
                new OnBench("loop", List.of("A", "B"), 200.0, List.of(), noLevels, List.of()),
                new OnBench("other", List.of("A", "B"), 200.0, List.of(), noLevels, List.of()));
        return ReplayVerdict.of(FIRST, new NightComparison(true, "A", benches, List.of(differences), List.of()));
    }

    @Test
    void whatAgreesSaysWhatMayHaveStayedUnseen() {
        ReplayVerdict verdict = sameBench(change("800 rpm", 0.02), change("1500 rpm", -0.09));
        assertTrue(verdict.reproduced());
        assertEquals(
                "reproduced: none of 2 is apart by more than chance may make; differences below 0.140 K (800 rpm) may have"
                        + " stayed unseen",
                verdict.text());
    }

    @Test
    void aStepThatIsBeyondOneByItselfMayBeSoByChance() {
        ReplayVerdict verdict = sameBench(change("800 rpm", 0.11), change("1500 rpm", 0.0));
        assertTrue(verdict.reproduced());
        assertTrue(
                verdict.text().contains("(one in twenty is above 1 by itself, here 800 rpm (E 1.10))"), verdict.text());
    }

    @Test
    void oneStepThatIsApartIsEnough() {
        ReplayVerdict verdict = sameBench(change("800 rpm", 0.0), change("1500 rpm", -0.13));
        assertFalse(verdict.reproduced());
        assertEquals("NOT reproduced: apart at 1500 rpm (E -1.30), 1 of 2", verdict.text());
    }

    @Test
    void aStepWithoutAnIntervalIsNotJudged() {
        ReplayVerdict verdict = sameBench(change("800 rpm", 0.0));
        assertFalse(verdict.reproduced());
        assertTrue(verdict.text().startsWith("NOT JUDGED at 1500 rpm: "), verdict.text());
        // what is apart stays so, whatever could not be judged
        assertEquals(
                "NOT reproduced: apart at 800 rpm (E 2.00), 1 of 1",
                sameBench(change("800 rpm", 0.2)).text());
    }

    @Test
    void onAnotherBenchDifferencesBetweenSetsAreJudged() {
        ReplayVerdict agrees = otherBench(apart("800 rpm", 0.1), apart("1500 rpm", 0.0));
        assertTrue(agrees.reproduced());
        assertTrue(agrees.text().contains("differences below 0.140 K (B 800 rpm)"), agrees.text());
        ReplayVerdict differs = otherBench(apart("800 rpm", 0.5), apart("1500 rpm", 0.0));
        assertFalse(differs.reproduced());
        assertEquals("NOT reproduced: apart at B 800 rpm (E 5.00), 1 of 2", differs.text());
        assertTrue(otherBench(apart("800 rpm", 0.0)).text().startsWith("NOT JUDGED at 1500 rpm: "));
    }

    /** Absolute rises of two benches are nothing to judge by, and neither is one set on one of them. */
    @Test
    void oneSetOnAnotherBenchCannotBeJudged() {
        ComparedNight elsewhere = NightComparisonTest.onOtherBench("again", "A", "2026-01-02", 14.0, 9.0);
        assertEquals(
                2,
                assertThrows(
                                NightComparison.NotComparable.class,
                                () -> NightComparison.of(List.of(FIRST, elsewhere), Optional.empty(), 0.0))
                        .reasons()
                        .size());
        assertEquals(List.of(), NightComparison.forbiddenByFiles(List.of(FIRST, elsewhere)), "only a set is missing");
    }
}
