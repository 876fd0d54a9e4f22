package org.plateaubench.acoustics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.acoustics.ListeningNight.Conditions;
import org.plateaubench.uncertainty.SplitMix64;

class LevelLineTest {

    private static final double BACKGROUND_DB = 22.0;
    private static final double[] SPEEDS = {700, 900, 1100, 1300, 1500, 1700, 1900};

    /** Brackets without noise; the background rises by 0.2 dB an hour. */
    private static List<Bracket> brackets(DoubleUnaryOperator ownLevelDb, double... speeds) {
        List<Bracket> brackets = new ArrayList<>();
        for (double rpm : speeds) {
            brackets.add(bracket(brackets.size() * 300.0, rpm, ownLevelDb.applyAsDouble(rpm)));
        }
        return brackets;
    }

    private static Bracket bracket(double seconds, double rpm, double ownLevelDb) {
        Listen before = listen(seconds, 60, background(seconds + 30));
        Listen after = listen(seconds + 220, 60, background(seconds + 250));
        double middle = Levels.levelDb(0.5 * (before.energy() + after.energy()));
        return new Bracket(rpm, before, listen(seconds + 80, 120, Levels.sumDb(middle, ownLevelDb)), after);
    }

    private static double background(double seconds) {
        return BACKGROUND_DB + 0.2 * seconds / 3600.0;
    }

    private static Listen listen(double begin, double seconds, double levelDb) {
        return Listen.of(begin, seconds, new double[] {levelDb}, GustRule.USUAL);
    }

    private static DoubleUnaryOperator line(double at1200Db, double slope) {
        return rpm -> at1200Db + slope * StrictMath.log10(rpm / 1200.0);
    }

    private static LevelLine fit(DoubleUnaryOperator ownLevelDb, double... speeds) {
        return LevelLine.fit(brackets(ownLevelDb, speeds)).orElseThrow();
    }

    @Test
    void aLineWithoutNoiseIsFound() {
        LevelLine line = fit(line(30.0, 50.0), SPEEDS);
        assertEquals(50.0, line.slopeDbPerDecade(), 1e-6);
        assertEquals(0.0, line.curvatureDbPerDecadeSquared());
        assertEquals(30.0, line.ownLevelDb(1200.0), 1e-6);
        assertTrue(line.good());
        assertEquals(List.of(), line.resonances());
        // a mean is never taken to be better than 0.02 dB, so neither the line nor a speed is exact
        assertTrue(line.ownLevelExpandedDb(1200.0) > 0.005 && line.ownLevelExpandedDb(1200.0) < 0.05);
        MatchedSpeed m = line.forOwnLevel(31.0).orElseThrow();
        assertEquals(1200.0 * StrictMath.pow(10.0, 1.0 / 50.0), m.rpm(), 1e-3);
        assertTrue(m.halfWidthPercent() > 0.02 && m.halfWidthPercent() < 0.3);
    }

    /**
     * Validation: check values of common practice. A line through 0.4 dB above the background at 1200 rpm and 1.6 dB at
     * 1600 rpm has 53.2 dB a decade, and gives these speeds back for these gaps.
     */
    @Test
    void checkValuesOfCommonPracticeLieOnTheLine() {
        double slope = (Levels.ownDb(1.6, 0.0) - Levels.ownDb(0.4, 0.0)) / StrictMath.log10(1600.0 / 1200.0);
        LevelLine line = fit(line(BACKGROUND_DB + Levels.ownDb(0.4, 0.0), slope), 1000, 1200, 1400, 1600, 1800);
        assertEquals(53.2, line.slopeDbPerDecade(), 0.05);
        double drifted = line.backgroundDb() - BACKGROUND_DB; // the mean background lies a little above the first
        assertEquals(
                1200.0,
                line.forOwnLevel(line.backgroundDb() - drifted - 10.155)
                        .orElseThrow()
                        .rpm(),
                1.0);
        double gap = Levels.sumDb(BACKGROUND_DB + Levels.ownDb(1.6, 0.0), line.backgroundDb()) - line.backgroundDb();
        assertEquals(1600.0, line.forGap(gap).orElseThrow().rpm(), 1.0);
        assertEquals(1.6, gap, 0.05);
    }

    @Test
    void aGapIsAnOwnLevelAboveTheMeanBackground() {
        LevelLine line = fit(line(24.0, 50.0), SPEEDS);
        double byGap = line.forGap(3.0).orElseThrow().rpm();
        double byLevel = line.forOwnLevel(Levels.ownDb(line.backgroundDb() + 3.0, line.backgroundDb()))
                .orElseThrow()
                .rpm();
        assertEquals(byLevel, byGap, 0.5);
        assertThrows(IllegalArgumentException.class, () -> line.forGap(0.0));
    }

    @ParameterizedTest
    @ValueSource(doubles = {-40.0, 40.0})
    void aCurvatureIsFoundWhereThereIsOne(double curvature) {
        DoubleUnaryOperator curved = rpm -> {
            double decades = StrictMath.log10(rpm / 1200.0);
            return 30.0 + 50.0 * decades + curvature * decades * decades;
        };
        LevelLine line = fit(curved, SPEEDS);
        assertEquals(curvature, line.curvatureDbPerDecadeSquared(), 0.01);
        assertEquals(curved.applyAsDouble(1700.0), line.ownLevelDb(1700.0), 1e-4);
        assertEquals(List.of(), line.resonances());
        assertEquals(
                1600.0,
                line.forOwnLevel(curved.applyAsDouble(1600.0)).orElseThrow().rpm(),
                0.1);
    }

    @ParameterizedTest
    @ValueSource(doubles = {-3.0, 2.0, 6.0})
    void aResonanceIsFoundAndLeftOutOfTheLine(double resonanceDb) {
        LevelLine line = fit(rpm -> line(30.0, 50.0).applyAsDouble(rpm) + (rpm == 1300.0 ? resonanceDb : 0.0), SPEEDS);
        assertEquals(1, line.resonances().size());
        assertEquals(1300.0, line.resonances().get(0).rpm());
        assertEquals(resonanceDb, line.resonances().get(0).aboveLineDb(), 1e-3);
        assertEquals(50.0, line.slopeDbPerDecade(), 1e-4);
        assertTrue(line.forOwnLevel(30.5).orElseThrow().nearResonance());
        assertFalse(line.forOwnLevel(37.0).orElseThrow().nearResonance());
    }

    @Test
    void levelsThatFollowNoLineSayScatteredAndHaveWideIntervals() {
        LevelLine scattered = fit(rpm -> line(30.0, 50.0).applyAsDouble(rpm) + (rpm % 400 == 300 ? 0.6 : -0.6), SPEEDS);
        assertFalse(scattered.good());
        assertTrue(scattered.ownLevelExpandedDb(1300.0) > 0.4);
    }

    @Test
    void speedsOutsideThoseListenedToAreMarked() {
        LevelLine line = fit(line(30.0, 50.0), SPEEDS);
        assertFalse(line.forOwnLevel(30.0).orElseThrow().extrapolated());
        assertTrue(line.forOwnLevel(45.0).orElseThrow().extrapolated());
        assertTrue(line.forOwnLevel(15.0).orElseThrow().extrapolated());
        double slowest = SPEEDS[0];
        double fastest = SPEEDS[SPEEDS.length - 1];
        assertFalse(line.extrapolates(slowest * 0.995), "as near as speeds are trimmed");
        assertFalse(line.extrapolates(fastest * 1.005), "as near as speeds are trimmed");
        assertTrue(line.extrapolates(slowest * 0.98));
        assertTrue(line.extrapolates(fastest * 1.02));
    }

    @Test
    void theLimitOfWidthIsThreePerCent() {
        assertFalse(new MatchedSpeed(1000.0, 970.0, 1030.0, 24.0, false, false).tooWide());
        assertTrue(new MatchedSpeed(1000.0, 969.0, 1032.0, 24.0, false, false).tooWide());
        assertTrue(new MatchedSpeed(1000.0, 0.0, 1001.0, 24.0, false, false).tooWide());
        assertTrue(new MatchedSpeed(1000.0, 999.0, Double.POSITIVE_INFINITY, 24.0, false, false).tooWide());
    }

    @Test
    void fansThatCannotBeHeardAreNotMatched() {
        Conditions silent = new Conditions();
        silent.ownAt1200Db = -40.0;
        SplitMix64 random = new SplitMix64(3);
        for (int i = 0; i < 20; i++) {
            Optional<LevelLine> line = LevelLine.fit(new ListeningNight(silent, random).brackets);
            Optional<MatchedSpeed> match = line.flatMap(l -> l.forGap(0.4));
            assertTrue(match.isEmpty() || match.get().tooWide(), "seed 3, night " + i);
        }
    }

    @Test
    void aLaterBracketIsHeldAgainstTheLine() {
        SplitMix64 random = new SplitMix64(4);
        Conditions usual = new Conditions();
        usual.ownAt1200Db = 5.0;
        int nights = 60;
        int agreeing = 0;
        for (int i = 0; i < nights; i++) {
            ListeningNight night = new ListeningNight(usual, random);
            List<Bracket> all = night.brackets;
            Bracket last = all.get(all.size() - 1);
            LevelLine line = LevelLine.fit(all.subList(0, all.size() - 1)).orElseThrow();
            agreeing += line.verify(last).agrees() ? 1 : 0;
            Bracket louder = new Bracket(
                    last.rpm(),
                    last.before(),
                    listen(last.fans().middleSeconds() - 60, 120, last.fans().levelDb() + 3.0),
                    last.after());
            assertFalse(line.verify(louder).agrees(), "seed 4, night " + i);
        }
        assertTrue(agreeing >= 0.85 * nights, "seed 4: " + agreeing);
    }

    @Test
    void noiseAloneSeldomLooksLikeACurvatureOrAResonance() {
        SplitMix64 random = new SplitMix64(6);
        int nights = Integer.getInteger("campaign.nights", 100);
        int curved = 0;
        int resonant = 0;
        int scattered = 0;
        for (int i = 0; i < nights; i++) {
            Optional<LevelLine> line = LevelLine.fit(new ListeningNight(new Conditions(), random).brackets);
            curved += line.isPresent() && line.get().curvatureDbPerDecadeSquared() != 0.0 ? 1 : 0;
            resonant += line.isPresent() && !line.get().resonances().isEmpty() ? 1 : 0;
            scattered += line.isPresent() && !line.get().good() ? 1 : 0;
        }
        System.out.printf(
                Locale.ROOT,
                "straight lines: called curved %.3f, resonant %.3f, scattered %.3f%n",
                (double) curved / nights,
                (double) resonant / nights,
                (double) scattered / nights);
        assertTrue(curved <= 0.06 * nights && resonant <= 0.06 * nights && scattered <= 0.06 * nights, "seed 6");
    }

    @Test
    void threeSpeedsMakeALineAndTheirOrderDoesNotMatter() {
        List<Bracket> three = brackets(line(30.0, 50.0), 1500, 900, 1200);
        MatchedSpeed m = LevelLine.fit(three).orElseThrow().forOwnLevel(30.0).orElseThrow();
        assertEquals(1200.0, m.rpm(), 1e-3);
        List<Bracket> turned = List.of(three.get(2), three.get(0), three.get(1));
        assertEquals(m, LevelLine.fit(turned).orElseThrow().forOwnLevel(30.0).orElseThrow());
    }

    @Test
    void refusesTooFewSpeeds() {
        assertThrows(
                IllegalArgumentException.class, () -> LevelLine.fit(brackets(line(30.0, 50.0), 900, 1200, 900, 1200)));
    }
}
