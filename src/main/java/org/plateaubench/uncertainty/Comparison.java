package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * The differences of fan sets measured on one bench, with intervals that all hold at once.
 *
 * <p>Model: a rise is that of set and step, plus the night's own effect, plus the pass's. Where a set was measured in two
 * nights or more, the spread of the nights' means about their set's mean, pooled over sets, gives the uncertainty of a
 * set's mean; it already holds the spread between passes, which is its floor. Where each set has one night, only the
 * spread between passes is known, pooled over all nights and steps, and a difference is one of these nights.
 *
 * <p>Where all nights have two steps or more in common, the difference of the means over them is among the differences:
 * a difference that all steps share is found there sooner.
 *
 * <p>Of the lines of the nights' budgets the largest of a set's nights is taken, once for each of the two sets; what both
 * share counts with the difference of its sensitivities.
 *
 * @param probability that all intervals hold their true differences
 * @param passSpread spread between passes, pooled over all nights and steps
 * @param differences for each set the steps that both have, then the mean over steps; sets and steps in the order in
 *     which they come first
 */
public record Comparison(double probability, PooledSpread passSpread, List<Difference> differences) {

    /** The step of a difference of means over all common steps. */
    public static final String ALL_STEPS = "mean of all steps";

    /** Copies the list. */
    public Comparison {
        differences = List.copyOf(differences);
    }

    /**
     * Compares every set with one of them.
     *
     * @param nights nights of one bench, in order of time, with passes already corrected for what is known
     * @param against name of the set that the others are compared with
     * @param knownKelvin what of the spread between passes is known beforehand, K; see {@link PooledSpread}
     * @param equivalentWithinKelvin δ of an equivalence, K; 0 where none is asked for
     * @param probability that all intervals hold; above 0, below 1
     * @return the comparison
     * @throws IllegalArgumentException if no night is of that set, no other set is there, or δ is negative or NaN
     */
    public static Comparison of(
            List<SetNight> nights,
            String against,
            double knownKelvin,
            double equivalentWithinKelvin,
            double probability) {
        if (!(equivalentWithinKelvin >= 0.0)) {
            throw new IllegalArgumentException(
                    "an equivalence needs a limit of 0 K or more, found " + equivalentWithinKelvin + " K");
        }
        List<String> sets = nights.stream().map(SetNight::set).distinct().toList();
        if (!sets.contains(against) || sets.size() < 2) {
            throw new IllegalArgumentException(
                    "a comparison with set \"" + against + "\" needs it and another one, found sets " + sets);
        }
        PooledSpread spread =
                PooledSpread.of(nights.stream().flatMap(n -> n.steps().stream()).toList(), knownKelvin);
        List<StepTable> tables = tables(nights, sets, spread);
        List<StepTable.Contrast> contrasts = new ArrayList<>();
        for (String set : sets) {
            for (StepTable table : tables) {
                if (!set.equals(against) && table.has(set) && table.has(against)) {
                    contrasts.add(table.contrast(set, against));
                }
            }
        }
        return new Comparison(probability, spread, judge(contrasts, probability, equivalentWithinKelvin));
    }

    /** A table for each step, and one for the mean over the steps that all nights have. */
    private static List<StepTable> tables(List<SetNight> nights, List<String> sets, PooledSpread spread) {
        List<String> steps = nights.stream()
                .flatMap(n -> n.steps().stream())
                .map(StepPasses::step)
                .distinct()
                .toList();
        List<String> common = steps.stream()
                .filter(step -> nights.stream().allMatch(n -> n.step(step).isPresent()))
                .toList();
        List<StepTable> tables = new ArrayList<>();
        for (String step : steps) {
            tables.add(StepTable.of(
                    step, List.of(step), sets, nights, night -> night.step(step).map(s -> NightMean.of(s, spread))));
        }
        if (common.size() > 1) {
            tables.add(StepTable.of(
                    ALL_STEPS,
                    common,
                    sets,
                    nights,
                    night -> Optional.of(NightMean.over(common.stream()
                            .map(step -> NightMean.of(night.step(step).orElseThrow(), spread))
                            .toList()))));
        }
        return tables;
    }

    /**
     * Judges all differences at once. For their correlation, what a set shows at one step is taken as independent of what
     * it shows at another, which at worst makes the factor a little too large.
     */
    private static List<Difference> judge(
            List<StepTable.Contrast> contrasts, double probability, double equivalentWithinKelvin) {
        if (contrasts.isEmpty()) {
            return List.of();
        }
        Map<String, Integer> places = new LinkedHashMap<>();
        Map<String, Double> deviations = new LinkedHashMap<>();
        for (StepTable.Contrast c : contrasts) {
            if (c.steps().size() == 1) {
                for (String set : List.of(c.set(), c.against())) {
                    String cell = cell(set, c.steps().get(0));
                    places.putIfAbsent(cell, places.size());
                    deviations.put(cell, StrictMath.sqrt(c.variance(set)));
                }
            }
        }
        List<double[]> weights = new ArrayList<>();
        for (StepTable.Contrast c : contrasts) {
            double[] row = new double[places.size()];
            for (String step : c.steps()) {
                String first = cell(c.set(), step);
                String second = cell(c.against(), step);
                row[places.get(first)] = deviations.get(first);
                row[places.get(second)] = -deviations.get(second);
            }
            weights.add(row);
        }
        SimultaneousFactor factors = new SimultaneousFactor(weights);
        return contrasts.stream()
                .map(c -> c.judge(factors, probability, equivalentWithinKelvin))
                .toList();
    }

    private static String cell(String set, String step) {
        return set + "\n" + step;
    }
}
