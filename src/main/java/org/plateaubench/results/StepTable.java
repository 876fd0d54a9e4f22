package org.plateaubench.results;

import java.util.ArrayList;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.ToDoubleFunction;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Plan;
import org.plateaubench.thermal.NominalConditions;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.PassRise;
import org.plateaubench.uncertainty.PooledSpread;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.StepPasses;
import org.plateaubench.uncertainty.Student;

/** Brings the passes of a night to nominal conditions, puts those of each step together, and says what they are worth. */
final class StepTable {

    /** Name of the line for what a speed that was matched to a level leaves open. */
    static final String NOISE_MATCH = "noise match";

    private final BenchFile bench;
    private final OptionalDouble baselineChangeKelvin;
    private final List<AcousticResult.Match> matches;
    private final Conditions conditions;

    private StepTable(
            BenchFile bench,
            OptionalDouble baselineChangeKelvin,
            List<AcousticResult.Match> matches,
            Conditions conditions) {
        this.bench = bench;
        this.baselineChangeKelvin = baselineChangeKelvin;
        this.matches = matches;
        this.conditions = conditions;
    }

    /**
     * Makes the table.
     *
     * @param plan the plan, with a thermal measurement
     * @param bench the bench file
     * @param passes all passes of the night
     * @param baselineChangeKelvin rise without load at the end less that at the start, K, if both were measured
     * @param matches speeds that were matched to levels
     * @return one a step, in plan order
     */
    static List<StepResult> of(
            Plan plan,
            BenchFile bench,
            List<PassResult> passes,
            OptionalDouble baselineChangeKelvin,
            List<AcousticResult.Match> matches) {
        Map<Measurement.Step, List<PassResult>> counted = new LinkedHashMap<>();
        plan.thermal().orElseThrow().steps().forEach(step -> counted.put(step, new ArrayList<>()));
        counted.forEach((step, own) -> passes.stream()
                .filter(p -> p.counts() && p.step().equals(step.text()))
                .forEach(own::add));
        Conditions conditions = Conditions.of(
                plan.heat(), counted.values().stream().flatMap(List::stream).toList());
        StepTable table = new StepTable(bench, baselineChangeKelvin, matches, conditions);
        Map<Measurement.Step, StepPasses> evidence = new LinkedHashMap<>();
        counted.forEach((step, own) -> {
            if (!own.isEmpty()) {
                evidence.put(step, table.evidence(step, own));
            }
        });
        PooledSpread spread = PooledSpread.of(List.copyOf(evidence.values()), 0.0);
        List<StepResult> results = new ArrayList<>();
        counted.forEach(
                (step, own) -> results.add(table.result(step, own, Optional.ofNullable(evidence.get(step)), spread)));
        return results;
    }

    private StepResult result(
            Measurement.Step step, List<PassResult> passes, Optional<StepPasses> evidence, PooledSpread spread) {
        Optional<StepEstimate> estimate = evidence.map(e -> StepEstimate.of(e, spread));
        double rise = estimate.map(StepEstimate::riseKelvin).orElse(Double.NaN);
        return new StepResult(
                step.text(),
                passes.size(),
                (int) passes.stream().filter(PassResult::settled).count(),
                mean(passes, PassResult.Dwell::coolantRiseKelvin),
                evidence,
                estimate,
                nominalRpm(step, passes),
                conditions.heatFlowWatts(),
                conditions.speedExponent(),
                mean(passes, PassResult.Dwell::cpuRiseKelvin),
                mean(passes, PassResult.Dwell::fanRpm),
                mean(passes, PassResult.Dwell::powerWatts),
                rise / conditions.heatFlowWatts());
    }

    /** The speed of the setpoint, or that was matched to its level, or else the mean of the passes. */
    private double nominalRpm(Measurement.Step step, List<PassResult> passes) {
        if (step instanceof Measurement.Step.Speed speed) {
            return speed.rpm();
        }
        return match(step).map(AcousticResult.Match::rpm).orElseGet(() -> mean(passes, PassResult.Dwell::fanRpm));
    }

    private Optional<AcousticResult.Match> match(Measurement.Step step) {
        return matches.stream().filter(m -> m.step().equals(step.text())).findFirst();
    }

    private StepPasses evidence(Measurement.Step step, List<PassResult> passes) {
        double rpm = nominalRpm(step, passes);
        List<PassRise> rises = passes.stream().map(p -> rise(p, rpm)).toList();
        List<Contribution> lines = systematic(passes, rpm);
        match(step).filter(m -> Double.isFinite(m.halfWidthPercent())).ifPresent(m -> lines.add(noiseMatch(m, passes)));
        return new StepPasses(step.text(), rises, lines);
    }

    /** The rise of one pass at nominal power and speed, and what it lacks to equilibrium. */
    private PassRise rise(PassResult pass, double nominalRpm) {
        PassResult.Dwell dwell = pass.dwell();
        boolean powerKnown = dwell.powerWatts() > 0.0 && conditions.heatFlowWatts() > 0.0;
        boolean speedKnown = dwell.fanRpm() > 0.0 && nominalRpm > 0.0;
        double factor = new NominalConditions(
                        powerKnown ? conditions.heatFlowWatts() : 1.0,
                        speedKnown ? nominalRpm : 1.0,
                        conditions.speedExponent())
                .correct(1.0, powerKnown ? dwell.powerWatts() : 1.0, speedKnown ? dwell.fanRpm() : 1.0);
        return new PassRise(
                dwell.coolantRiseKelvin() * factor,
                dwell.floorKelvin(),
                dwell.settling().correctionKelvin() * factor,
                dwell.settlingUncertaintyKelvin());
    }

    /** What a speed that was matched to a level leaves open, on the rise. */
    private Contribution noiseMatch(AcousticResult.Match match, List<PassResult> passes) {
        double relative =
                match.halfWidthPercent() / 100.0 / Student.factor(StepResult.PROBABILITY, Double.POSITIVE_INFINITY);
        return Contribution.of(
                NOISE_MATCH,
                StrictMath.abs(mean(passes, PassResult.Dwell::settledRiseKelvin) * conditions.speedExponent())
                        * relative);
    }

    private List<Contribution> systematic(List<PassResult> passes, double nominalRpm) {
        double rise = mean(passes, PassResult.Dwell::settledRiseKelvin);
        List<Contribution> lines = new ArrayList<>();
        add(lines, "coolant probe, calibration", BenchFile.COOLANT, 1.0);
        add(lines, "ambient probe, calibration", BenchFile.AMBIENT, -1.0);
        add(lines, "heat flow, calibration", BenchFile.POWER, -rise / conditions.heatFlowWatts());
        baselineChangeKelvin.ifPresent(
                change -> lines.add(Contribution.rectangular("change of the baseline", 0.5 * StrictMath.abs(change))));
        double speedOff = mean(passes, d -> StrictMath.log(nominalRpm / d.fanRpm()));
        if (Double.isFinite(speedOff)) {
            lines.add(new Contribution(
                    "correction to nominal speed",
                    conditions.speedExponentUncertainty(),
                    Double.POSITIVE_INFINITY,
                    rise * speedOff,
                    true));
        }
        return lines;
    }

    /** A calibration errs alike on every night of the bench. */
    private void add(List<Contribution> lines, String name, String role, double sensitivity) {
        OptionalDouble standard = bench.standardUncertainty(role);
        if (standard.isPresent() && Double.isFinite(sensitivity)) {
            Contribution line =
                    new Contribution(name, standard.getAsDouble(), Double.POSITIVE_INFINITY, sensitivity, true);
            lines.add(bench.knowsOnlyLimits(role) ? line.ofLimits() : line);
        }
    }

    /**
     * Notes in each pass what it counts as.
     *
     * @param passes all passes of the night
     * @param steps the steps
     * @return the same passes, those that count with their rise at nominal conditions
     */
    static List<PassResult> withNominalRises(List<PassResult> passes, List<StepResult> steps) {
        Map<String, Iterator<PassRise>> rises = new LinkedHashMap<>();
        steps.forEach(
                s -> s.evidence().ifPresent(e -> rises.put(s.step(), e.passes().iterator())));
        return passes.stream()
                .map(p -> p.counts()
                        ? p.withNominalRise(rises.get(p.step()).next().settledKelvin())
                        : p)
                .toList();
    }

    private static double mean(List<PassResult> passes, ToDoubleFunction<PassResult.Dwell> value) {
        return passes.stream()
                .map(PassResult::dwell)
                .mapToDouble(value)
                .filter(v -> !Double.isNaN(v))
                .average()
                .orElse(Double.NaN);
    }
}
