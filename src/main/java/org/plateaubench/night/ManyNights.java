package org.plateaubench.night;

import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.IntConsumer;
import java.util.stream.IntStream;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Comparison;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.Proportion;
import org.plateaubench.uncertainty.SetNight;
import org.plateaubench.uncertainty.Verdict;

/**
 * Many seeded nights of one plan on the simulated twin of its bench, judged by the truth of each: what the plan can
 * resolve. Every seed is rehearsed twice, once with sensors that are right, for what repeats and for differences, and once
 * with sensors whose offsets are drawn anew from their stated uncertainty, for the full intervals.
 *
 * <p>For differences the nights are compared in pairs, the first with the second, the third with the fourth: the same fan
 * set and mount, so that whatever is found is false. Night effects are part of it: they are what makes two nights of one
 * set differ.
 *
 * @param nights how many seeds
 * @param firstSeed the first of them; the others follow
 * @param steps one a step, in plan order
 * @param repeatability share of the intervals for repeatability that hold the truth, over all steps, sensors right
 * @param coverage share of the full intervals that hold the truth, over all steps, offsets drawn
 * @param differences what comparing two nights leads to
 * @param settled share of the passes that were said to have settled
 * @param falselySettled share of those whose mean, as it was measured, was farther from the truth than the limit
 * @param settlingLimitKelvin that limit, K: the plan's remaining rise, or else {@value #USUAL_LIMIT_KELVIN} K
 * @param hours what it takes
 */
public record ManyNights(
        int nights,
        long firstSeed,
        List<Step> steps,
        Proportion repeatability,
        Proportion coverage,
        Differences differences,
        Proportion settled,
        Proportion falselySettled,
        double settlingLimitKelvin,
        Hours hours) {

    private static final double USUAL_LIMIT_KELVIN = 0.2;
    private static final double LIMITS_PROBABILITY = 0.95;
    private static final double POWER = 0.8;

    /** A smaller bias than this is not asked of fixed waits, K. */
    private static final double LEAST_BIAS_KELVIN = 0.01;

    /** Copies the list. */
    public ManyNights {
        steps = List.copyOf(steps);
    }

    /**
     * One step.
     *
     * @param step its setpoint
     * @param truthKelvin mean of the true rises, K
     * @param biasKelvin mean error, sensors right, K
     * @param spreadKelvin standard deviation of the errors, sensors right, K
     * @param passSpreadKelvin standard deviation of single passes within a night, sensors right, K
     * @param errorKelvin size that 95 % of the errors stay below, sensors right, K
     * @param repeatability share of the intervals for repeatability that hold the truth, sensors right
     * @param repeatabilityKelvin median half-width of these intervals, K
     * @param coverage share of the full intervals that hold the truth, offsets drawn
     * @param expandedKelvin median half-width of these intervals, K
     * @param coverageFactor median of their coverage factors
     * @param errorWithOffsetsKelvin size that 95 % of the errors stay below, offsets drawn, K
     */
    public record Step(
            String step,
            double truthKelvin,
            double biasKelvin,
            double spreadKelvin,
            double passSpreadKelvin,
            double errorKelvin,
            Proportion repeatability,
            double repeatabilityKelvin,
            Proportion coverage,
            double expandedKelvin,
            double coverageFactor,
            double errorWithOffsetsKelvin) {}

    /**
     * Pairs of nights of one fan set, compared as two sets.
     *
     * @param pairs how many
     * @param steps for each step and for their mean, how its own interval holds
     * @param coverage share of the intervals for one difference that hold the true one, over all steps
     * @param allHold share of the pairs where the simultaneous intervals hold the true differences all at once
     * @param falselyDifferent share of the pairs where a difference of the sets was shown that is none
     * @param foundKelvin smallest true difference, the same at every step, that four of five pairs would show, K
     * @param found shares of the pairs that would show some true differences
     */
    public record Differences(
            int pairs,
            List<DifferenceStep> steps,
            Proportion coverage,
            Proportion allHold,
            Proportion falselyDifferent,
            double foundKelvin,
            List<Found> found) {
        /** Copies the lists. */
        public Differences {
            steps = List.copyOf(steps);
            found = List.copyOf(found);
        }
    }

    /**
     * Differences at one step.
     *
     * @param step its setpoint, or the mean of all steps
     * @param coverage share of the intervals for this difference alone that hold the true one
     * @param expandedKelvin median half-width of these intervals, K
     * @param coverageFactor median of their coverage factors
     * @param errorKelvin size that 95 % of the errors stay below, K
     */
    public record DifferenceStep(
            String step, Proportion coverage, double expandedKelvin, double coverageFactor, double errorKelvin) {}

    /**
     * How often a true difference would be shown.
     *
     * @param kelvin the difference, K
     * @param share share of the pairs
     */
    public record Found(double kelvin, Proportion share) {}

    /**
     * What it takes.
     *
     * @param night mean length of a night, h
     * @param passes mean number of passes that were done
     * @param biasKelvin root of the mean square of the steps' biases, K
     * @param fixed length of the same passes with fixed waits of 30 minutes, h
     * @param fixedBiasKelvin bias of those, K
     * @param equalWaitSeconds wait under heat that has the plan's bias, or 0.01 K if that is larger, s; NaN if over two
     *     hours
     * @param equal length of the same passes with that wait, h; NaN if there is none
     */
    public record Hours(
            double night,
            double passes,
            double biasKelvin,
            double fixed,
            double fixedBiasKelvin,
            double equalWaitSeconds,
            double equal) {}

    /**
     * Rehearses the nights, on all processors.
     *
     * @param files plan, fans and bench file; the plan has a thermal measurement
     * @param nights how many seeds; 2 or more
     * @param firstSeed the first of them
     * @param now local time at which a night on a real bench would begin
     * @param progress told how many nights are done, from any thread
     * @return what they show
     * @throws IllegalArgumentException if there are fewer than two nights, or no thermal measurement
     */
    public static ManyNights of(
            NightFiles files, int nights, long firstSeed, OffsetDateTime now, IntConsumer progress) {
        if (nights < 2 || files.plan().thermal().isEmpty()) {
            throw new IllegalArgumentException(
                    "statistics need two nights or more of a plan with a thermal measurement, found " + nights);
        }
        BenchFile twin = Rehearsal.twin(files.bench(), now);
        long benchSeed = twin.simulation().orElseThrow().seed();
        BenchFile right = TruthfulNight.with(twin, benchSeed, TruthfulNight.setting(SimulationKey.SENSOR_OFFSETS, 0.0));
        AtomicInteger done = new AtomicInteger();
        List<TruthfulNight> plain = IntStream.range(0, nights)
                .parallel()
                .mapToObj(i -> counted(TruthfulNight.of(files, right, firstSeed + i), done, progress))
                .toList();
        List<TruthfulNight> offset = IntStream.range(0, nights)
                .parallel()
                .mapToObj(i -> {
                    BenchFile drawn = TruthfulNight.with(
                            twin, benchSeed + 1 + i, TruthfulNight.setting(SimulationKey.SENSOR_OFFSETS, 100.0));
                    return counted(TruthfulNight.of(files, drawn, firstSeed + i), done, progress);
                })
                .toList();
        return new Statistics(files, plain, offset).all(firstSeed, FixedWaits.of(files, twin));
    }

    private static TruthfulNight counted(TruthfulNight night, AtomicInteger done, IntConsumer progress) {
        progress.accept(done.incrementAndGet());
        return night;
    }

    /** Errors and intervals of one quantity over many nights. */
    private static final class Sample {
        private final List<Double> errors = new ArrayList<>();
        private final List<Double> expanded = new ArrayList<>();
        private final List<Double> factors = new ArrayList<>();
        private int held;

        void add(double error, double halfWidth, double factor) {
            if (Double.isFinite(error) && Double.isFinite(halfWidth)) {
                errors.add(error);
                expanded.add(halfWidth);
                factors.add(factor);
                held += StrictMath.abs(error) <= halfWidth ? 1 : 0;
            }
        }

        int size() {
            return errors.size();
        }

        double mean() {
            return errors.stream().mapToDouble(e -> e).average().orElse(Double.NaN);
        }

        double deviation() {
            double mean = mean();
            double squares =
                    errors.stream().mapToDouble(e -> (e - mean) * (e - mean)).sum();
            return StrictMath.sqrt(squares / (errors.size() - 1));
        }

        double error95() {
            return quantile(errors.stream().map(StrictMath::abs).toList(), LIMITS_PROBABILITY);
        }

        Proportion coverage() {
            return share(held, size());
        }
    }

    private static Proportion share(int hits, int trials) {
        return trials == 0 ? new Proportion(Double.NaN, 0.0, 1.0) : Proportion.of(hits, trials, LIMITS_PROBABILITY);
    }

    private static Proportion together(List<Sample> samples) {
        return share(
                samples.stream().mapToInt(s -> s.held).sum(),
                samples.stream().mapToInt(Sample::size).sum());
    }

    /** The value below which a share of the values lies; NaN if there are none. */
    private static double quantile(List<Double> values, double share) {
        if (values.isEmpty()) {
            return Double.NaN;
        }
        double[] sorted = values.stream().mapToDouble(v -> v).sorted().toArray();
        return sorted[(int) StrictMath.min(sorted.length - 1.0, StrictMath.floor(share * sorted.length))];
    }

    /** Puts the nights together. */
    private static final class Statistics {

        private static final double[] ASKED_KELVIN = {0.1, 0.2, 0.3, 0.5, 1.0};

        private final NightFiles files;
        private final List<TruthfulNight> plain;
        private final List<TruthfulNight> offset;
        private final double watts;
        private final List<String> names;

        Statistics(NightFiles files, List<TruthfulNight> plain, List<TruthfulNight> offset) {
            this.files = files;
            this.plain = plain;
            this.offset = offset;
            watts = plain.stream()
                    .mapToDouble(TruthfulNight::dwellWatts)
                    .filter(w -> !Double.isNaN(w))
                    .average()
                    .orElse(Double.NaN);
            names = files.plan().thermal().orElseThrow().steps().stream()
                    .map(s -> s.text())
                    .toList();
        }

        ManyNights all(long firstSeed, FixedWaits waits) {
            List<Step> steps = new ArrayList<>();
            List<Sample> repeated = new ArrayList<>();
            List<Sample> full = new ArrayList<>();
            for (int i = 0; i < names.size(); i++) {
                Sample ofRepeated = new Sample();
                Sample ofFull = new Sample();
                double truths = 0.0;
                for (TruthfulNight night : plain) {
                    StepResult step = night.results().steps().get(i);
                    ofRepeated.add(error(night, i), step.repeatabilityKelvin(), step.coverageFactor());
                    truths += night.riseKelvin(i, watts) / plain.size();
                }
                for (TruthfulNight night : offset) {
                    StepResult step = night.results().steps().get(i);
                    ofFull.add(error(night, i), step.expandedKelvin(), step.coverageFactor());
                }
                repeated.add(ofRepeated);
                full.add(ofFull);
                steps.add(new Step(
                        names.get(i),
                        truths,
                        ofRepeated.mean(),
                        ofRepeated.deviation(),
                        passSpread(i),
                        ofRepeated.error95(),
                        ofRepeated.coverage(),
                        quantile(ofRepeated.expanded, 0.5),
                        ofFull.coverage(),
                        quantile(ofFull.expanded, 0.5),
                        quantile(ofFull.factors, 0.5),
                        ofFull.error95()));
            }
            double limit = files.plan()
                    .thermal()
                    .orElseThrow()
                    .soak()
                    .until()
                    .remainingRiseKelvin()
                    .orElse(USUAL_LIMIT_KELVIN);
            int[] settling = settling(limit);
            return new ManyNights(
                    plain.size(),
                    firstSeed,
                    steps,
                    together(repeated),
                    together(full),
                    differences(),
                    share(settling[1], settling[0]),
                    share(settling[2], settling[1]),
                    limit,
                    hours(repeated, waits));
        }

        private double passSpread(int step) {
            return StrictMath.sqrt(plain.stream()
                    .mapToDouble(night -> night.results().steps().get(step).spreadKelvin())
                    .filter(s -> !Double.isNaN(s))
                    .map(s -> s * s)
                    .average()
                    .orElse(Double.NaN));
        }

        private double error(TruthfulNight night, int step) {
            return night.results().steps().get(step).coolantRiseKelvin() - night.riseKelvin(step, watts);
        }

        /** Passes that count, those of them that had settled, those of these that had not. */
        private int[] settling(double limitKelvin) {
            int[] counts = new int[3];
            for (TruthfulNight night : plain) {
                for (PassResult pass : night.results().passes()) {
                    if (pass.counts()) {
                        double truth = night.riseKelvin(names.indexOf(pass.step()), watts);
                        boolean off = StrictMath.abs(pass.dwell().coolantRiseKelvin() - truth) > limitKelvin;
                        counts[0]++;
                        counts[1] += pass.settled() ? 1 : 0;
                        counts[2] += pass.settled() && off ? 1 : 0;
                    }
                }
            }
            return counts;
        }

        private Hours hours(List<Sample> steps, FixedWaits waits) {
            double squares = steps.stream()
                    .mapToDouble(s -> s.mean() * s.mean())
                    .average()
                    .orElse(Double.NaN);
            double bias = StrictMath.sqrt(squares);
            double wait = waits.waitSeconds(StrictMath.max(bias, LEAST_BIAS_KELVIN));
            return new Hours(
                    plain.stream().mapToDouble(TruthfulNight::hours).average().orElse(Double.NaN),
                    plain.stream().mapToInt(TruthfulNight::passesDone).average().orElse(Double.NaN),
                    bias,
                    waits.hours(FixedWaits.USUAL_SECONDS),
                    waits.biasKelvin(FixedWaits.USUAL_SECONDS),
                    wait,
                    waits.hours(wait));
        }

        // ---- differences

        private Differences differences() {
            Map<String, Sample> samples = new LinkedHashMap<>();
            List<Double> needed = new ArrayList<>();
            int pairs = 0;
            int allHold = 0;
            int different = 0;
            for (int i = 0; i + 1 < plain.size(); i += 2) {
                List<Difference> found = compared(plain.get(i), plain.get(i + 1));
                if (found.isEmpty()) {
                    continue;
                }
                pairs++;
                boolean hold = true;
                double need = Double.POSITIVE_INFINITY;
                for (Difference d : found) {
                    double error = d.kelvin() - trueDifference(plain.get(i), plain.get(i + 1), d.step());
                    samples.computeIfAbsent(d.step(), step -> new Sample())
                            .add(
                                    error,
                                    d.budget().expanded(StepResult.PROBABILITY),
                                    d.budget().coverageFactor(StepResult.PROBABILITY));
                    hold &= StrictMath.abs(error) <= d.expandedKelvin();
                    need = StrictMath.min(need, d.expandedKelvin() - d.kelvin());
                }
                allHold += hold ? 1 : 0;
                different += found.stream().anyMatch(Statistics::shown) ? 1 : 0;
                needed.add(need);
            }
            List<DifferenceStep> steps = new ArrayList<>();
            samples.forEach((step, s) -> steps.add(new DifferenceStep(
                    step, s.coverage(), quantile(s.expanded, 0.5), quantile(s.factors, 0.5), s.error95())));
            List<Found> found = new ArrayList<>();
            for (double kelvin : ASKED_KELVIN) {
                found.add(new Found(
                        kelvin,
                        share((int) needed.stream().filter(n -> n < kelvin).count(), needed.size())));
            }
            return new Differences(
                    pairs,
                    steps,
                    together(List.copyOf(samples.values())),
                    share(allHold, pairs),
                    share(different, pairs),
                    quantile(needed, POWER),
                    found);
        }

        private static boolean shown(Difference d) {
            return d.verdict() == Verdict.COOLER || d.verdict() == Verdict.WARMER;
        }

        /** The second night less the first; empty where one has a step without a pass. */
        private List<Difference> compared(TruthfulNight first, TruthfulNight second) {
            double common = commonWatts(first, second);
            SetNight one = night("first", first, common);
            SetNight other = night("second", second, common);
            return one.steps().size() < names.size() || other.steps().size() < names.size()
                    ? List.of()
                    : Comparison.of(List.of(one, other), "first", 0.0, 0.0, StepResult.PROBABILITY)
                            .differences();
        }

        private double commonWatts(TruthfulNight first, TruthfulNight second) {
            return 0.5
                    * (compared("", first).heatFlowWatts()
                            + compared("", second).heatFlowWatts());
        }

        private ComparedNight compared(String name, TruthfulNight night) {
            return new ComparedNight(name, "", files, night.results());
        }

        private SetNight night(String name, TruthfulNight night, double watts) {
            return new SetNight(
                    name, name, compared(name, night).atHeatFlow(watts).steps());
        }

        private double trueDifference(TruthfulNight first, TruthfulNight second, String step) {
            List<String> over = step.equals(Comparison.ALL_STEPS) ? names : List.of(step);
            double common = commonWatts(first, second);
            return over.stream()
                    .mapToInt(names::indexOf)
                    .mapToDouble(i -> atCommon(second, i, common) - atCommon(first, i, common))
                    .average()
                    .orElseThrow();
        }

        private double atCommon(TruthfulNight night, int step, double common) {
            double factor = common / compared("", night).heatFlowWatts();
            return night.riseKelvin(step, watts) * (Double.isFinite(factor) ? factor : 1.0);
        }
    }
}
