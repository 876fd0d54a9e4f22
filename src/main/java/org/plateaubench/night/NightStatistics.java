package org.plateaubench.night;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.ToDoubleFunction;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Budget;
import org.plateaubench.uncertainty.Comparison;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.Proportion;
import org.plateaubench.uncertainty.SetNight;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.Verdict;

/** Puts many nights together with their truths. */
final class NightStatistics {

    private static final double LIMITS_PROBABILITY = 0.95;
    private static final double POWER = 0.8;
    private static final double[] ASKED_KELVIN = {0.1, 0.2, 0.3, 0.5, 1.0};

    /** Limit for false settling where the plan states no remaining rise, K. */
    private static final double USUAL_LIMIT_KELVIN = 0.2;

    /** A smaller bias than this is not asked of fixed waits, K. */
    private static final double LEAST_BIAS_KELVIN = 0.01;

    private final NightFiles files;
    private final List<TruthfulNight> plain;
    private final List<TruthfulNight> offset;
    private final double watts;
    private final Measurement.Thermal thermal;
    private final List<String> names;

    /**
     * The nights.
     *
     * @param files plan, fans and bench file
     * @param plain nights whose sensors are right
     * @param offset nights whose sensors' offsets are drawn
     */
    NightStatistics(NightFiles files, List<TruthfulNight> plain, List<TruthfulNight> offset) {
        this.files = files;
        this.plain = plain;
        this.offset = offset;
        watts = mean(plain, TruthfulNight::dwellWatts);
        thermal = files.plan().thermal().orElseThrow();
        names = thermal.steps().stream().map(Measurement.Step::text).toList();
    }

    ManyNights all(long firstSeed, FixedWaits waits) {
        List<ManyNights.Step> steps = new ArrayList<>();
        List<Sample> errors = new ArrayList<>();
        List<Sample> repeated = new ArrayList<>();
        List<Sample> full = new ArrayList<>();
        for (int i = 0; i < names.size(); i++) {
            Sample ofErrors = new Sample();
            Sample ofRepeated = new Sample();
            Sample ofFull = new Sample();
            for (TruthfulNight night : plain) {
                StepResult step = night.results().steps().get(i);
                ofErrors.add(error(night, i), Double.NaN);
                ofRepeated.add(
                        step.coolantRiseKelvin() - night.riseKelvin(i, watts, step.nominalRpm()),
                        step.repeatabilityKelvin());
            }
            for (TruthfulNight night : offset) {
                StepResult step = night.results().steps().get(i);
                ofFull.add(error(night, i), step.expandedKelvin());
                step.estimate().filter(StepEstimate::complete).ifPresent(e -> ofFull.add(e.full(), thermal.repeats()));
            }
            errors.add(ofErrors);
            repeated.add(ofRepeated);
            full.add(ofFull);
            int index = i;
            steps.add(new ManyNights.Step(
                    names.get(i),
                    mean(plain, night -> night.riseKelvin(index, watts)),
                    ofErrors.mean(),
                    ofErrors.deviation(),
                    passSpread(i),
                    ofRepeated.error95(),
                    ofRepeated.coverage(),
                    ofRepeated.medianExpanded(),
                    ofFull.coverage(),
                    ofFull.medianExpanded(),
                    ofFull.medianFactor(),
                    ofFull.error95(),
                    ofFull.medianTwice()));
        }
        double limit = thermal.soak().until().remainingRiseKelvin().orElse(USUAL_LIMIT_KELVIN);
        int[] settling = settling(limit);
        return new ManyNights(
                plain.size(),
                firstSeed,
                steps,
                together(repeated),
                together(full),
                differences(),
                replicated(),
                share(settling[1], settling[0]),
                share(settling[2], settling[1]),
                limit,
                hours(errors, waits),
                waits.published());
    }

    private static double mean(List<TruthfulNight> nights, ToDoubleFunction<TruthfulNight> value) {
        return nights.stream()
                .mapToDouble(value)
                .filter(v -> !Double.isNaN(v))
                .average()
                .orElse(Double.NaN);
    }

    private double passSpread(int step) {
        return StrictMath.sqrt(mean(plain, night -> {
            double spread = night.results().steps().get(step).spreadKelvin();
            return spread * spread;
        }));
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

    private ManyNights.Hours hours(List<Sample> steps, FixedWaits waits) {
        double squares = steps.stream()
                .mapToDouble(s -> s.mean() * s.mean())
                .filter(s -> !Double.isNaN(s))
                .average()
                .orElse(Double.NaN);
        double bias = StrictMath.sqrt(squares);
        double wait = waits.waitSeconds(StrictMath.max(bias, LEAST_BIAS_KELVIN));
        double passes = mean(plain, TruthfulNight::thermalPasses);
        return new ManyNights.Hours(
                mean(plain, TruthfulNight::hours),
                mean(plain, TruthfulNight::thermalHours),
                passes,
                bias,
                waits.hours(FixedWaits.USUAL_SECONDS, passes),
                waits.biasKelvin(FixedWaits.USUAL_SECONDS),
                wait,
                waits.hours(wait, passes));
    }

    // ---- differences

    private ManyNights.Differences differences() {
        Map<String, Sample> samples = new LinkedHashMap<>();
        List<Double> needed = new ArrayList<>();
        int allHold = 0;
        int judged = 0;
        int different = 0;
        for (int i = 0; i + 1 < plain.size(); i += 2) {
            TruthfulNight first = plain.get(i);
            TruthfulNight second = plain.get(i + 1);
            double common = commonWatts(List.of(first, second));
            List<Difference> found = compared(List.of(first), List.of(second), common);
            if (found.isEmpty()) {
                continue;
            }
            boolean hold = true;
            boolean known = true;
            for (Difference d : found) {
                double error = d.kelvin() - trueDifference(first, second, d.step(), common);
                Sample sample = samples.computeIfAbsent(d.step(), step -> new Sample());
                // without a repeated step there is no interval
                known &= !Double.isNaN(d.expandedKelvin());
                sample.add(error, known ? d.budget().expanded(StepResult.PROBABILITY) : Double.NaN);
                if (known) {
                    sample.add(d.budget(), thermal.repeats());
                }
                hold &= StrictMath.abs(error) <= d.expandedKelvin();
            }
            if (known) {
                judged++;
                allHold += hold ? 1 : 0;
                different += shown(found) ? 1 : 0;
                needed.add(needed(found));
            }
        }
        List<ManyNights.DifferenceStep> steps = new ArrayList<>();
        samples.forEach((step, s) -> steps.add(new ManyNights.DifferenceStep(
                step, s.coverage(), s.medianExpanded(), s.medianFactor(), s.error95(), s.medianTwice())));
        return new ManyNights.Differences(
                judged,
                steps,
                together(samples.values()),
                share(allHold, judged),
                share(different, judged),
                quantile(needed, POWER),
                found(needed));
    }

    /** Two nights of a set compared with two others of it, so that a night's effect is part of the intervals. */
    private ManyNights.Replicated replicated() {
        List<Double> needed = new ArrayList<>();
        int different = 0;
        for (int i = 0; i + 3 < plain.size(); i += 4) {
            List<TruthfulNight> four = plain.subList(i, i + 4);
            // the sets take turns, as they would on a bench
            List<Difference> found =
                    compared(List.of(four.get(0), four.get(3)), List.of(four.get(1), four.get(2)), commonWatts(four));
            if (!found.isEmpty()) {
                different += shown(found) ? 1 : 0;
                needed.add(needed(found));
            }
        }
        return new ManyNights.Replicated(
                needed.size(), share(different, needed.size()), quantile(needed, POWER), found(needed));
    }

    /** The true difference, the same at every step, from which on these would have shown one. */
    private static double needed(List<Difference> found) {
        return found.stream()
                .mapToDouble(d -> d.expandedKelvin() - d.kelvin())
                .min()
                .orElseThrow();
    }

    private static List<ManyNights.Found> found(List<Double> needed) {
        List<ManyNights.Found> found = new ArrayList<>();
        for (double kelvin : ASKED_KELVIN) {
            found.add(new ManyNights.Found(
                    kelvin, share((int) needed.stream().filter(n -> n < kelvin).count(), needed.size())));
        }
        return found;
    }

    private static boolean shown(List<Difference> found) {
        return found.stream().anyMatch(d -> d.verdict() == Verdict.COOLER || d.verdict() == Verdict.WARMER);
    }

    /** The second nights less the first; empty where one has a step without a pass. */
    private List<Difference> compared(List<TruthfulNight> first, List<TruthfulNight> second, double commonWatts) {
        List<SetNight> nights = new ArrayList<>();
        first.forEach(night -> nights.add(night("first", night, commonWatts)));
        second.forEach(night -> nights.add(night("second", night, commonWatts)));
        return nights.stream().anyMatch(n -> n.steps().size() < names.size())
                ? List.of()
                : Comparison.of(nights, "first", 0.0, 0.0, StepResult.PROBABILITY)
                        .differences();
    }

    private double commonWatts(List<TruthfulNight> nights) {
        return nights.stream()
                .mapToDouble(night -> compared("", night).heatFlowWatts())
                .average()
                .orElseThrow();
    }

    private ComparedNight compared(String name, TruthfulNight night) {
        return new ComparedNight(name, "", files, night.results());
    }

    private SetNight night(String name, TruthfulNight night, double commonWatts) {
        return new SetNight(
                name, name, compared(name, night).atHeatFlow(commonWatts).steps());
    }

    private double trueDifference(TruthfulNight first, TruthfulNight second, String step, double commonWatts) {
        List<String> over = step.equals(Comparison.ALL_STEPS) ? names : List.of(step);
        return over.stream()
                .mapToInt(names::indexOf)
                .mapToDouble(i -> atCommon(second, i, commonWatts) - atCommon(first, i, commonWatts))
                .average()
                .orElseThrow();
    }

    private double atCommon(TruthfulNight night, int step, double commonWatts) {
        double factor = commonWatts / compared("", night).heatFlowWatts();
        return night.riseKelvin(step, watts) * (Double.isFinite(factor) ? factor : 1.0);
    }

    // ---- shares and quantiles

    /** Errors and intervals of one quantity over many nights. */
    private static final class Sample {
        private final List<Double> errors = new ArrayList<>();
        private final List<Double> expanded = new ArrayList<>();
        private final List<Double> factors = new ArrayList<>();
        private final List<Double> twice = new ArrayList<>();
        private int held;

        /** An error, with the half-width of its interval if there is one. */
        void add(double error, double halfWidth) {
            if (Double.isFinite(error)) {
                errors.add(error);
                if (Double.isFinite(halfWidth)) {
                    expanded.add(halfWidth);
                    held += StrictMath.abs(error) <= halfWidth ? 1 : 0;
                }
            }
        }

        /** The budget of an interval that was added, and what it would be with twice the repeats. */
        void add(Budget budget, int repeats) {
            factors.add(budget.coverageFactor(StepResult.PROBABILITY));
            twice.add(StepEstimate.withMoreRepeats(budget, repeats, 2 * repeats).expanded(StepResult.PROBABILITY));
        }

        double mean() {
            return errors.stream().mapToDouble(e -> e).average().orElse(Double.NaN);
        }

        double deviation() {
            double mean = mean();
            double squares =
                    errors.stream().mapToDouble(e -> (e - mean) * (e - mean)).sum();
            return errors.size() < 2 ? Double.NaN : StrictMath.sqrt(squares / (errors.size() - 1));
        }

        double error95() {
            return quantile(errors.stream().map(StrictMath::abs).toList(), LIMITS_PROBABILITY);
        }

        double medianExpanded() {
            return quantile(expanded, 0.5);
        }

        double medianFactor() {
            return quantile(factors, 0.5);
        }

        double medianTwice() {
            return quantile(twice, 0.5);
        }

        Proportion coverage() {
            return share(held, expanded.size());
        }
    }

    private static Proportion share(int hits, int trials) {
        return trials == 0 ? new Proportion(Double.NaN, 0.0, 1.0) : Proportion.of(hits, trials, LIMITS_PROBABILITY);
    }

    private static Proportion together(Collection<Sample> samples) {
        return share(
                samples.stream().mapToInt(s -> s.held).sum(),
                samples.stream().mapToInt(s -> s.expanded.size()).sum());
    }

    /** The value below which a share of the values lies; NaN if there are none. */
    private static double quantile(List<Double> values, double share) {
        if (values.isEmpty()) {
            return Double.NaN;
        }
        double[] sorted = values.stream().mapToDouble(v -> v).sorted().toArray();
        return sorted[(int) StrictMath.min(sorted.length - 1.0, StrictMath.floor(share * sorted.length))];
    }
}
