package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.uncertainty.Comparison;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.SetNight;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.StepPasses;
import org.plateaubench.units.Decimals;

/**
 * Nights on one bench by speed and by noise: where each step lies, and the differences at equal own level.
 *
 * <p>The levels of the comparison are those of the first night of the set that the others are compared with. Where another
 * night has no step of that level, its rise there is interpolated, see {@link RiseOverLevel}. What the level of a night is
 * uncertain by is carried into the rise; what the meter errs by alike in all nights cancels and is not in it, and where the
 * microphone was put up anew between nights, that is not in it either.
 *
 * @param points every step of every night, nights in order of time, steps in plan order
 * @param differences at equal own level, in the order of the levels; their steps read as {@code own level 24.0 dB}. All
 *     intervals hold at once. Empty where levels were not measured
 * @param findings why there are fewer differences than one would expect
 */
public record LevelComparison(List<Point> points, List<Difference> differences, List<NightFinding> findings) {

    /** Copies the lists. */
    public LevelComparison {
        points = List.copyOf(points);
        differences = List.copyOf(differences);
        findings = List.copyOf(findings);
    }

    /**
     * One step of one night.
     *
     * @param set the fan set
     * @param record the night's record
     * @param step the setpoint
     * @param rpm its speed, rpm
     * @param ownLevelDb own level at that speed, dB; NaN where it is not known
     * @param ownLevelExpandedDb half-width of its 95 % interval, dB; NaN where it is not known
     * @param riseKelvin rise at equilibrium and at the heat flow of the comparison, K
     * @param expandedKelvin half-width of its 95 % interval with everything, K; NaN where no step was repeated
     */
    public record Point(
            String set,
            String record,
            String step,
            double rpm,
            double ownLevelDb,
            double ownLevelExpandedDb,
            double riseKelvin,
            double expandedKelvin) {}

    /**
     * Compares nights of one bench.
     *
     * @param nights the nights, in order of time
     * @param alike the same nights with their rises brought to one heat flow
     * @param against the fan set that the others are compared with
     * @param equivalentWithinKelvin δ of an equivalence, K; 0 where none is asked for
     * @return where their steps lie, and the differences
     */
    static LevelComparison of(
            List<ComparedNight> nights, List<SetNight> alike, String against, double equivalentWithinKelvin) {
        List<Point> points = new ArrayList<>();
        List<NightFinding> findings = new ArrayList<>();
        List<RiseOverLevel> curves = new ArrayList<>();
        for (int i = 0; i < nights.size(); i++) {
            points.addAll(points(nights.get(i), alike.get(i)));
            RiseOverLevel curve = RiseOverLevel.of(nights.get(i), alike.get(i));
            curves.add(curve);
            if (curve.tooFew()
                    && nights.stream().anyMatch(n -> n.results().acoustic().isPresent())) {
                findings.add(
                        new NightFinding(
                                "levels-missing",
                                nights.get(i).record(),
                                "has fewer than three steps of known own level, at least "
                                        + Decimals.fixed(RiseOverLevel.APART_DB, 0)
                                        + " dB apart and within the speeds listened to, so its rise over the level is not known"));
            }
        }
        List<Difference> differences = differences(alike, curves, against, equivalentWithinKelvin);
        boolean severalSets = alike.stream().map(SetNight::set).distinct().count() > 1;
        if (differences.isEmpty() && severalSets && curves.stream().noneMatch(RiseOverLevel::tooFew)) {
            findings.add(new NightFinding(
                    "levels-apart", against, "no own level of this set lies within those of another set"));
        }
        return new LevelComparison(points, differences, findings);
    }

    private static List<Point> points(ComparedNight night, SetNight alike) {
        List<Point> points = new ArrayList<>();
        for (StepEstimate estimate : StepEstimate.of(alike.steps(), 0.0)) {
            StepResult step = night.results().steps().stream()
                    .filter(s -> s.step().equals(estimate.step()))
                    .findFirst()
                    .orElseThrow();
            Optional<AcousticResult.StepLevel> level =
                    night.results().acoustic().flatMap(a -> a.ownLevel(estimate.step()));
            points.add(new Point(
                    night.set(),
                    night.record(),
                    estimate.step(),
                    step.nominalRpm(),
                    level.map(AcousticResult.StepLevel::ownLevelDb).orElse(Double.NaN),
                    level.map(AcousticResult.StepLevel::ownLevelExpandedDb).orElse(Double.NaN),
                    estimate.riseKelvin(),
                    estimate.expandedKelvin(StepResult.PROBABILITY)));
        }
        return points;
    }

    private static List<Difference> differences(
            List<SetNight> nights, List<RiseOverLevel> curves, String against, double equivalentWithinKelvin) {
        List<Double> levels = List.of();
        for (int i = 0; i < nights.size() && levels.isEmpty(); i++) {
            if (nights.get(i).set().equals(against)) {
                levels = curves.get(i).levels();
            }
        }
        List<SetNight> atLevels = new ArrayList<>();
        for (int i = 0; i < nights.size(); i++) {
            List<StepPasses> steps = new ArrayList<>();
            for (double level : levels) {
                curves.get(i)
                        .at(level, "own level " + Decimals.fixed(level, 1) + " dB")
                        .ifPresent(steps::add);
            }
            if (!steps.isEmpty()) {
                atLevels.add(new SetNight(nights.get(i).set(), nights.get(i).night(), steps));
            }
        }
        List<String> sets = atLevels.stream().map(SetNight::set).distinct().toList();
        if (sets.size() < 2 || !sets.contains(against)) {
            return List.of();
        }
        return Comparison.of(atLevels, against, 0.0, equivalentWithinKelvin, StepResult.PROBABILITY)
                .differences()
                .stream()
                .filter(d -> !d.step().equals(Comparison.ALL_STEPS))
                .toList();
    }
}
