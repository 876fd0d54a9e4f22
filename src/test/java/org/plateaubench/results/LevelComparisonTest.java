package org.plateaubench.results;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.PassRise;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.StepPasses;
import org.plateaubench.uncertainty.Verdict;

/** Validation against rises and levels that are known: a part that no fan cools, and fan laws for the rest. */
class LevelComparisonTest {

    private static final double[] SPEEDS = {700, 900, 1100, 1400, 1700};

    /** A fan set of our own invention. */
    private record Fans(
            String name, double coldKelvin, double kelvinAtThousand, double decibelAtThousand, double slope) {
        double rise(double rpm) {
            return coldKelvin + kelvinAtThousand * Math.pow(rpm / 1000.0, -0.8);
        }

        double level(double rpm) {
            return decibelAtThousand + slope * Math.log10(rpm / 1000.0);
        }

        double rpm(double level) {
            return 1000.0 * Math.pow(10.0, (level - decibelAtThousand) / slope);
        }
    }

    private static final Fans A = new Fans("A", 2.0, 8.0, 20.0, 50.0);
    private static final Fans B = new Fans("B", 2.0, 9.0, 17.0, 53.0);

    private static ComparedNight night(Fans fans, String opened, double levelExpandedDb, double... speeds) {
        return night(fans, opened, fans::level, levelExpandedDb, speeds);
    }

    private static ComparedNight night(
            Fans fans, String opened, DoubleUnaryOperator level, double levelExpandedDb, double... speeds) {
        List<StepPasses> passes = new ArrayList<>();
        List<AcousticResult.StepLevel> levels = new ArrayList<>();
        for (double rpm : speeds) {
            String step = (int) rpm + " rpm";
            double rise = fans.rise(rpm);
            passes.add(new StepPasses(
                    step,
                    List.of(new PassRise(rise - 0.005, 0.0, 0.0, 0.0), new PassRise(rise + 0.005, 0.0, 0.0, 0.0)),
                    List.of(Contribution.of("coolant probe, calibration", 5.0).asShared())));
            levels.add(new AcousticResult.StepLevel(step, rpm, level.applyAsDouble(rpm), levelExpandedDb, false));
        }
        List<StepEstimate> estimates = StepEstimate.of(passes, 0.0);
        List<StepResult> steps = new ArrayList<>();
        for (int i = 0; i < speeds.length; i++) {
            steps.add(new StepResult(
                    passes.get(i).step(),
                    2,
                    2,
                    estimates.get(i).riseKelvin(),
                    Optional.of(passes.get(i)),
                    Optional.of(estimates.get(i)),
                    speeds[i],
                    200.0,
                    -0.8,
                    Double.NaN,
                    speeds[i],
                    200.0,
                    Double.NaN));
        }
        Optional<AcousticResult> acoustic = levelExpandedDb > 0.0
                ? Optional.of(new AcousticResult(List.of(), Optional.empty(), levels, List.of()))
                : Optional.empty();
        NightResults results = new NightResults(
                "Levels",
                fans.name(),
                1,
                "simulated loop",
                true,
                "complete",
                "",
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                steps,
                List.of(),
                Optional.empty(),
                acoustic,
                List.of());
        return new ComparedNight(fans.name() + " " + opened, opened, NightComparisonTest.FILES, results);
    }

    private static LevelComparison compare(ComparedNight... nights) throws NightComparison.NotComparable {
        NightComparison c = NightComparison.of(List.of(nights), Optional.of("A"), 0.0);
        assertTrue(c.findings().containsAll(c.benches().get(0).levels().findings()));
        return c.benches().get(0).levels();
    }

    @Test
    void differencesAtEqualOwnLevelAreTheTrueOnesWithinTheirIntervals() throws NightComparison.NotComparable {
        LevelComparison levels = compare(night(A, "1", 0.1, SPEEDS), night(B, "2", 0.1, SPEEDS));

        assertEquals(10, levels.points().size());
        assertEquals(A.level(900), levels.points().get(1).ownLevelDb());
        assertEquals(B.rise(900), levels.points().get(6).riseKelvin(), 1e-12);
        // A's fastest step is louder than any of B's.
        assertTrue(A.level(700) > B.level(700) && A.level(1400) < B.level(1700) && A.level(1700) > B.level(1700));
        assertEquals(4, levels.differences().size());
        for (int i = 0; i < 4; i++) {
            double rpm = SPEEDS[i];
            double level = A.level(rpm);
            Difference d = levels.differences().get(i);
            double truth = B.rise(B.rpm(level)) - A.rise(rpm);
            assertEquals("own level " + Math.round(level * 10.0) / 10.0 + " dB", d.step());
            assertEquals(truth, d.kelvin(), d.expandedKelvin(), d.step());
            assertEquals(truth, d.kelvin(), 0.01, "the interpolation itself, at " + d.step());
            assertTrue(d.expandedKelvin() < 0.2, d.statement());
        }
        assertEquals(List.of(), levels.findings());
    }

    /** One decibel in 50 a decade is 4.7 % of speed, and the part that the fans cool goes with its power -0.8. */
    @Test
    void whatTheLevelIsUncertainByIsCarriedIntoTheTemperature() throws NightComparison.NotComparable {
        Difference d = compare(night(A, "1", 1.96, SPEEDS), night(twin(), "2", 1.96, SPEEDS))
                .differences()
                .get(2);
        assertEquals("own level 22.1 dB", d.step());
        double perDecibel = 0.8 * (A.rise(1100) - 2.0) * Math.log(10.0) / 50.0;
        double found = d.budget().contributions().stream()
                .filter(c -> c.name().endsWith("own level"))
                .mapToDouble(Contribution::inResult)
                .reduce(0.0, Math::hypot);
        assertEquals(perDecibel * Math.sqrt(2.0), found, 0.02 * found);
        assertEquals(Verdict.NOT_SHOWN_TO_DIFFER, d.verdict());
    }

    private static Fans twin() {
        return new Fans("twin", A.coldKelvin(), A.kelvinAtThousand(), A.decibelAtThousand(), A.slope());
    }

    @Test
    void aNightWithoutLevelsOrWithTooFewIsNamed() throws NightComparison.NotComparable {
        LevelComparison none = compare(night(A, "1", 0.0, SPEEDS), night(B, "2", 0.0, SPEEDS));
        assertEquals(List.of(), none.differences());
        assertEquals(List.of(), none.findings());
        assertTrue(Double.isNaN(none.points().get(0).ownLevelDb()));

        LevelComparison one = compare(night(A, "1", 0.1, SPEEDS), night(B, "2", 0.1, 700, 1100));
        assertEquals(List.of(), one.differences());
        assertEquals("levels-missing", one.findings().get(0).kind());
        assertEquals("B 2", one.findings().get(0).about());
    }

    @Test
    void setsWhoseLevelsDoNotMeetAreNotComparedAtEqualNoise() throws NightComparison.NotComparable {
        LevelComparison apart =
                compare(night(A, "1", 0.1, SPEEDS), night(B, "2", rpm -> B.level(rpm) + 40.0, 0.1, SPEEDS));
        assertEquals(List.of(), apart.differences());
        assertEquals("levels-apart", apart.findings().get(0).kind());
    }

    @Test
    void aStepAtTheSameLevelNeedsNoInterpolation() throws NightComparison.NotComparable {
        Difference d = compare(night(A, "1", 0.1, SPEEDS), night(twin(), "2", 0.1, SPEEDS))
                .differences()
                .get(1);
        assertEquals(0.0, d.kelvin(), 1e-12);
        assertTrue(d.budget().contributions().stream()
                .filter(c -> c.name().endsWith("interpolation between steps"))
                .allMatch(c -> c.inResult() == 0.0));
    }
}
