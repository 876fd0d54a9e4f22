package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.IntToDoubleFunction;
import java.util.stream.IntStream;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.equilibrium.AmbientProbes;
import org.plateaubench.equilibrium.Settling;
import org.plateaubench.thermal.HeatBalance;
import org.plateaubench.uncertainty.Student;
import org.plateaubench.units.Decimals;

/** What whoever reads the rises of a night must know beside their intervals. */
final class ThermalFindings {

    /** A settling correction beyond this share of the rise is more than an end of an approach (common practice, no source). */
    private static final double EXTRAPOLATED_SHARE = 0.1;

    private final BenchFile bench;
    private final NightColumns night;
    private final List<PassResult> passes;
    private final List<StepResult> steps;
    private final OptionalDouble baselineChangeKelvin;

    ThermalFindings(
            BenchFile bench,
            NightColumns night,
            List<PassResult> passes,
            List<StepResult> steps,
            OptionalDouble baselineChangeKelvin) {
        this.bench = bench;
        this.night = night;
        this.passes = passes.stream().filter(PassResult::counts).toList();
        this.steps = steps;
        this.baselineChangeKelvin = baselineChangeKelvin;
    }

    List<NightFinding> all() {
        List<NightFinding> findings = new ArrayList<>();
        if (passes.isEmpty()) {
            return findings;
        }
        if (bench.slowTimeConstantSeconds().isEmpty()) {
            findings.add(new NightFinding(
                    "not-commissioned",
                    bench.name(),
                    "settled; slow mode not excluded: a commissioning soak would tell how slow this bench is"));
        }
        for (PassResult pass : passes) {
            double correctionKelvin = pass.dwell().settling().correctionKelvin();
            if (StrictMath.abs(correctionKelvin)
                    > EXTRAPOLATED_SHARE * StrictMath.abs(pass.dwell().settledRiseKelvin())) {
                findings.add(new NightFinding(
                        "extrapolated",
                        "pass " + pass.pass(),
                        "a rise of " + Decimals.fixed(pass.dwell().coolantRiseKelvin(), 2) + " K was measured; "
                                + Decimals.fixed(correctionKelvin, 2)
                                + " K were added by the fit of its approach: it needs a longer soak"));
            }
            if (pass.dwell().settling() instanceof Settling.Drift drift) {
                findings.add(new NightFinding(
                        "never-settles",
                        "pass " + pass.pass(),
                        "no equilibrium is in sight, the rise drifts by "
                                + Decimals.fixed(drift.driftKelvinPerHour(), 2) + " K/h"));
            }
        }
        if (steps.stream().allMatch(s -> Double.isNaN(s.nominalWatts()))) {
            findings.add(
                    new NightFinding(
                            "heat-flow-unknown",
                            "",
                            "the heat flow is not measured: rises are not corrected to a nominal one, and no resistance is given"));
        }
        if (steps.stream()
                .noneMatch(s -> s.estimate().isPresent() && s.estimate().get().complete())) {
            findings.add(new NightFinding(
                    "not-repeated", "", "no step was repeated: the spread is unknown, and no interval can be given"));
        }
        baselineChangeKelvin.stream()
                .filter(change -> change != 0.0)
                .forEach(change -> findings.add(new NightFinding(
                        "baseline-changed",
                        "",
                        "the rise without load changed by " + Decimals.fixed(change, 3)
                                + " K in the night; half of it is in the budget as limits")));
        probes().ifPresent(findings::add);
        heatBalance().ifPresent(findings::add);
        return findings;
    }

    /** Whether several ambient probes agree over the dwells. */
    private Optional<NightFinding> probes() {
        List<ChannelSpec> channels = bench.channelsOf(BenchFile.AMBIENT);
        if (channels.size() < 2 || bench.standardUncertainty(BenchFile.AMBIENT).isEmpty()) {
            return Optional.empty();
        }
        double[] sums = new double[channels.size()];
        long rows = 0;
        for (PassResult pass : passes) {
            for (int row = night.rowOf(pass.fromTick()); row < night.rowOf(pass.toTick() + 1); row++) {
                if (!Double.isNaN(night.ambient(row))) {
                    double[] celsius = night.ambientProbes(row);
                    for (int i = 0; i < sums.length; i++) {
                        sums[i] += celsius[i];
                    }
                    rows++;
                }
            }
        }
        double[] means = new double[sums.length];
        for (int i = 0; i < sums.length; i++) {
            means[i] = sums[i] / rows;
        }
        AmbientProbes.Agreement agreement = new AmbientProbes(channels.stream()
                        .mapToDouble(c -> c.uncertainty().orElseThrow().standard()
                                * c.unit().toBase())
                        .toArray())
                .agreement(means);
        return agreement.agree()
                ? Optional.empty()
                : Optional.of(new NightFinding(
                        "ambient-probes-disagree",
                        channels.get(agreement.farthest()).name(),
                        Decimals.fixed(agreement.deviationKelvin(), 2) + " K warmer than the mean of the other ambient"
                                + " probes, " + Decimals.fixed(agreement.allowedKelvin(), 2) + " K is allowed"));
    }

    /** What the coolant carries off, by its flow and by how much warmer it leaves the cold plate, over the dwells. */
    private Optional<NightFinding> heatBalance() {
        double flow = overDwells(night::flow);
        double in = overDwells(night::coolantIn);
        double out = overDwells(night::coolantOut);
        if (Double.isNaN(flow + in + out)) {
            return Optional.empty();
        }
        double carried = HeatBalance.watts(flow, in, out);
        double relative = StrictMath.hypot(
                standard("flow") / flow,
                StrictMath.hypot(standard("coolant-in"), standard("coolant-out")) / (out - in));
        double expanded = Student.factor(StepResult.PROBABILITY, Double.POSITIVE_INFINITY)
                * StrictMath.hypot(carried * relative, standard(BenchFile.POWER));
        double power = overDwells(night::power);
        boolean disagree = StrictMath.abs(power - carried) > expanded;
        return Optional.of(new NightFinding(
                disagree ? "heat-balance-disagrees" : "heat-balance",
                "",
                "flow and warming of the coolant say " + Decimals.fixed(carried, 0) + " ± "
                        + Decimals.fixed(expanded, 0) + " W"
                        + (Double.isNaN(power)
                                ? ""
                                : ", " + Decimals.fixed(power, 0) + " W were measured"
                                        + (disagree ? ": they do not agree" : ""))));
    }

    /** Standard uncertainty of a channel in its base unit; 0 where none is stated. */
    private double standard(String channel) {
        return bench.channel(channel)
                .flatMap(c -> c.uncertainty().map(u -> u.standard() * c.unit().toBase()))
                .orElse(0.0);
    }

    /** Mean of a quantity over the dwells of the passes that count; NaN if it is not measured. */
    private double overDwells(IntToDoubleFunction value) {
        return passes.stream()
                .flatMapToDouble(p -> IntStream.range(night.rowOf(p.fromTick()), night.rowOf(p.toTick() + 1))
                        .mapToDouble(value))
                .filter(v -> !Double.isNaN(v))
                .average()
                .orElse(Double.NaN);
    }
}
