package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.stream.Stream;

/** One step of a comparison, or a mean over several: each set's nights, and the spread between nights. */
final class StepTable {

    private final String name;
    private final List<String> steps;
    private final Map<String, List<NightMean>> nightsBySet;
    private final double nightVariance;
    private final double nightVarianceFromPasses;
    private final int nightFreedom;

    private StepTable(String name, List<String> steps, Map<String, List<NightMean>> nightsBySet) {
        this.name = name;
        this.steps = steps;
        this.nightsBySet = nightsBySet;
        OneWay analysis =
                OneWay.of(nightsBySet.values().stream().map(StepTable::means).toList());
        nightFreedom = analysis.withinFreedom();
        nightVariance = nightFreedom == 0 ? Double.NaN : analysis.withinSquares() / nightFreedom;
        nightVarianceFromPasses = nightsBySet.values().stream()
                .flatMap(List::stream)
                .mapToDouble(n -> n.spread().variance())
                .average()
                .orElseThrow();
    }

    static StepTable of(
            String name,
            List<String> steps,
            List<String> sets,
            List<SetNight> nights,
            Function<SetNight, Optional<NightMean>> mean) {
        Map<String, List<NightMean>> nightsBySet = new LinkedHashMap<>();
        for (String set : sets) {
            List<NightMean> found = nights.stream()
                    .filter(n -> n.set().equals(set))
                    .map(mean)
                    .flatMap(Optional::stream)
                    .toList();
            if (!found.isEmpty()) {
                nightsBySet.put(set, found);
            }
        }
        return new StepTable(name, steps, nightsBySet);
    }

    private static double[] means(List<NightMean> nights) {
        return nights.stream().mapToDouble(NightMean::kelvin).toArray();
    }

    boolean has(String set) {
        return nightsBySet.containsKey(set);
    }

    Contrast contrast(String set, String against) {
        return new Contrast(set, against);
    }

    private double mean(String set) {
        return Series.mean(means(nightsBySet.get(set)));
    }

    /** How uncertain the spread between passes or nights makes a set's mean: a variance and a line for it. */
    private Contribution spread(List<NightMean> nights, List<NightMean> more) {
        if (nightFreedom > 0) {
            double variance = StrictMath.max(nightVariance, nightVarianceFromPasses);
            double shares = 1.0 / nights.size() + (more.isEmpty() ? 0.0 : 1.0 / more.size());
            return new Contribution(
                    "spread between nights", StrictMath.sqrt(variance * shares), nightFreedom, 1.0, false);
        }
        return Stream.concat(nights.stream(), more.stream())
                .map(NightMean::spread)
                .reduce(SpreadOfMean::and)
                .orElseThrow()
                .line();
    }

    /**
     * What is uncertain about all passes of a set alike: for each name the largest line of the set's nights; a shared one
     * with the mean of its sensitivities.
     */
    private Budget common(String set) {
        Map<String, List<Contribution>> byName = new LinkedHashMap<>();
        nightsBySet.get(set).stream()
                .flatMap(night -> night.common().stream())
                .forEach(c -> byName.computeIfAbsent(c.name(), name -> new ArrayList<>())
                        .add(c));
        List<Contribution> lines = new ArrayList<>();
        byName.values().forEach(of -> {
            Contribution largest = of.stream()
                    .max(Comparator.comparingDouble(Contribution::inResult))
                    .orElseThrow();
            lines.add(
                    largest.shared()
                            ? largest.withSensitivity(of.stream()
                                    .mapToDouble(Contribution::sensitivity)
                                    .average()
                                    .orElseThrow())
                            : largest.named(set + ": " + largest.name()));
        });
        return new Budget(lines);
    }

    /** The difference of two sets, not yet judged. */
    final class Contrast {
        private final String set;
        private final String against;
        private final Budget budget;

        private Contrast(String set, String against) {
            this.set = set;
            this.against = against;
            List<Contribution> lines = new ArrayList<>();
            lines.add(spread(nightsBySet.get(set), nightsBySet.get(against)));
            lines.addAll(Budget.ofDifference(common(set), common(against)).contributions());
            budget = new Budget(lines);
        }

        String set() {
            return set;
        }

        String against() {
            return against;
        }

        List<String> steps() {
            return steps;
        }

        /** What one of the two sets brings to the variance of the difference, K². */
        double variance(String ofSet) {
            double u = new Budget(List.of(spread(nightsBySet.get(ofSet), List.of())))
                    .plus(common(ofSet).contributions().stream()
                            .filter(c -> !c.shared())
                            .toList())
                    .standardUncertainty();
            return u * u;
        }

        Difference judge(SimultaneousFactor factors, double probability, double equivalentWithinKelvin) {
            boolean replicated = nightFreedom > 0;
            boolean repeated = nightsBySet.get(set).get(0).spread().passFreedom() > 0;
            double kelvin = mean(set) - mean(against);
            double factor = replicated || repeated ? factors.of(probability, budget.degreesOfFreedom()) : Double.NaN;
            double expanded = factor * budget.standardUncertainty();
            return new Difference(
                    set,
                    against,
                    name,
                    kelvin,
                    budget,
                    replicated,
                    StrictMath.sqrt(StrictMath.max(0.0, nightVariance - nightVarianceFromPasses)),
                    factor,
                    expanded,
                    Verdict.of(kelvin, expanded, equivalentWithinKelvin));
        }
    }
}
