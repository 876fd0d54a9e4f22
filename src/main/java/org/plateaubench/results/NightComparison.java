package org.plateaubench.results;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.function.IntFunction;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.uncertainty.Budget;
import org.plateaubench.uncertainty.Comparison;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.NormalizedError;
import org.plateaubench.uncertainty.SetNight;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.units.Decimals;

/**
 * A comparison of records: fan sets on one bench by their difference, nights of one set on one bench and differences on two
 * benches by their E number. Absolute rises of two benches are never compared, since they cannot agree.
 *
 * @param simulated true if the benches are simulated
 * @param against name of the fan set that the others are compared with; where there is but one, that one
 * @param benches what was found on each bench, in the order of its first night
 * @param benchAgreements how far the differences found on two benches agree
 * @param findings what whoever reads the comparison must know
 */
public record NightComparison(
        boolean simulated,
        String against,
        List<OnBench> benches,
        List<BenchAgreement> benchAgreements,
        List<NightFinding> findings) {

    /** Power for which a detectable change is stated. */
    private static final double POWER = 0.8;

    /** Heat flows farther apart than this are no longer the same load. */
    private static final double MOST_HEAT_FLOW_SHARE = 0.05;

    /** From this difference of air densities on it is said. */
    private static final double LEAST_DENSITY_SHARE = 0.01;

    /** Copies the lists. */
    public NightComparison {
        benches = List.copyOf(benches);
        benchAgreements = List.copyOf(benchAgreements);
        findings = List.copyOf(findings);
    }

    /**
     * What was found on one bench.
     *
     * @param bench its name
     * @param order the sets in the order of the nights, such as A, B, A
     * @param heatFlowWatts heat flow that all rises were brought to, W: the mean of the nights; NaN where it is not measured
     * @param differences of the sets, with intervals that all hold at once; empty where there is one set
     * @param levels the nights by speed and by noise, and the differences at equal own level
     * @param nightAgreements how far nights of one set agree
     */
    public record OnBench(
            String bench,
            List<String> order,
            double heatFlowWatts,
            List<Difference> differences,
            LevelComparison levels,
            List<NightAgreement> nightAgreements) {
        /** Copies the lists. */
        public OnBench {
            order = List.copyOf(order);
            differences = List.copyOf(differences);
            nightAgreements = List.copyOf(nightAgreements);
        }

        /** {@return true if a set was measured, then another, then the first again: a drift between them shows} */
        public boolean returnsToASet() {
            Set<String> left = new LinkedHashSet<>();
            for (int i = 1; i < order.size(); i++) {
                if (!order.get(i).equals(order.get(i - 1))) {
                    left.add(order.get(i - 1));
                    if (left.contains(order.get(i))) {
                        return true;
                    }
                }
            }
            return false;
        }
    }

    /**
     * How far a later night of a set agrees with its first one. What errs alike in both is left out.
     *
     * @param set the fan set
     * @param step the setpoint
     * @param first record of its first night
     * @param later record of the later night
     * @param firstKelvin rise of the first night at the heat flow of the comparison, K
     * @param kelvin rise of the later night less that of the first, K
     * @param expandedKelvin half-width of the 95 % interval of that, K
     * @param normalizedError E number; they agree where its magnitude is at most 1
     * @param detectableKelvin change that would have been found in four of five cases, K
     * @param togetherKelvin half-width of the interval of the change if those of all nights and steps of this bench are to
     *     hold at once in 95 % (Bonferroni), K
     */
    public record NightAgreement(
            String set,
            String step,
            String first,
            String later,
            double firstKelvin,
            double kelvin,
            double expandedKelvin,
            double normalizedError,
            double detectableKelvin,
            double togetherKelvin) {

        /** {@return true if the nights differ, all steps judged at once} */
        public boolean apart() {
            return StrictMath.abs(kelvin) > togetherKelvin;
        }
    }

    /**
     * How far a difference of two sets on one bench agrees with that on another.
     *
     * @param set the fan set
     * @param step the setpoint
     * @param first name of the first bench
     * @param second name of the second bench
     * @param firstKelvin difference on the first bench, K
     * @param secondKelvin difference on the second bench, K
     * @param expandedKelvin root of the sum of the squares of their 95 % intervals, K
     * @param normalizedError E number; they agree where its magnitude is at most 1
     * @param detectableKelvin disagreement that would have been found in four of five cases, K
     * @param togetherKelvin half-width of the interval of the disagreement if those of all sets, steps and benches are to hold
     *     at once in 95 % (Bonferroni), K
     */
    public record BenchAgreement(
            String set,
            String step,
            String first,
            String second,
            double firstKelvin,
            double secondKelvin,
            double expandedKelvin,
            double normalizedError,
            double detectableKelvin,
            double togetherKelvin) {

        /** {@return true if the benches do not agree, all steps judged at once} */
        public boolean apart() {
            return StrictMath.abs(firstKelvin - secondKelvin) > togetherKelvin;
        }
    }

    /** Records that cannot be compared. */
    public static final class NotComparable extends Exception {
        private static final long serialVersionUID = 1L;

        private final transient List<String> reasons;

        NotComparable(List<String> reasons) {
            super(String.join("\n", reasons));
            this.reasons = List.copyOf(reasons);
        }

        /** {@return every reason, one line each} */
        public List<String> reasons() {
            return reasons;
        }
    }

    /**
     * Compares nights.
     *
     * @param nights two or more, in any order
     * @param against the fan set that the others are compared with; the set of the first night given unless stated
     * @param equivalentWithinKelvin δ of an equivalence, K; 0 where none is asked for
     * @return the comparison
     * @throws NotComparable if they cannot be compared, with every reason
     */
    public static NightComparison of(
            List<ComparedNight> nights, Optional<String> against, double equivalentWithinKelvin) throws NotComparable {
        String wanted = against.orElse(nights.get(0).set());
        Map<String, List<ComparedNight>> byBench = byBench(nights);
        byBench.values().forEach(ofBench -> ofBench.sort(Comparator.comparing(ComparedNight::openedUtc)));
        List<String> reasons = refusals(nights, byBench, wanted);
        if (!reasons.isEmpty()) {
            throw new NotComparable(reasons);
        }
        List<OnBench> benches = new ArrayList<>();
        List<NightFinding> findings = new ArrayList<>();
        byBench.values().forEach(of -> {
            OnBench bench = onBench(of, wanted, equivalentWithinKelvin);
            benches.add(bench);
            findings.addAll(bench.levels().findings());
            findings.addAll(findings(of));
        });
        return new NightComparison(nights.get(0).results().simulated(), wanted, benches, agreements(benches), findings);
    }

    /**
     * Whether two benches, or two nights where there is only one set, do not agree, all steps judged at once: of twenty steps
     * that agree one has an E number above 1 by chance.
     *
     * @return true if they do not
     */
    public boolean disagrees() {
        boolean nights = benches.stream()
                .filter(b -> b.differences().isEmpty())
                .flatMap(b -> b.nightAgreements().stream())
                .anyMatch(NightAgreement::apart);
        return nights || benchAgreements.stream().anyMatch(BenchAgreement::apart);
    }

    // ---- whether they can be compared

    /**
     * What forbids a comparison whatever was or will be measured: simulated beside measured, another plan, channels of one
     * bench that were corrected otherwise.
     *
     * @param nights two or more; of one that is yet to come only its files and whether it is simulated are looked at
     * @return every reason, one line each; may be empty
     */
    public static List<String> forbiddenByFiles(List<ComparedNight> nights) {
        List<String> reasons = new ArrayList<>();
        ComparedNight first = nights.get(0);
        for (ComparedNight night : nights) {
            if (night.results().simulated() != first.results().simulated()) {
                reasons.add(night.record() + " is " + measured(night) + ", " + first.record() + " is " + measured(first)
                        + "; what is simulated says nothing about what is measured");
            }
            if (!Arrays.equals(
                    night.files().planText().bytes(), first.files().planText().bytes())) {
                reasons.add(night.record() + " was made by another plan than " + first.record()
                        + "; the same bytes are needed");
            }
        }
        byBench(nights)
                .values()
                .forEach(of -> of.forEach(night -> reasons.addAll(changedCorrections(of.get(0), night))));
        return reasons;
    }

    /** Nights by bench, benches and nights in the order given. */
    private static Map<String, List<ComparedNight>> byBench(List<ComparedNight> nights) {
        Map<String, List<ComparedNight>> byBench = new LinkedHashMap<>();
        for (ComparedNight night : nights) {
            byBench.computeIfAbsent(night.benchIdentity(), key -> new ArrayList<>())
                    .add(night);
        }
        return byBench;
    }

    private static List<String> refusals(
            List<ComparedNight> nights, Map<String, List<ComparedNight>> byBench, String against) {
        List<String> reasons = forbiddenByFiles(nights);
        for (ComparedNight night : nights) {
            if (night.results().steps().stream().noneMatch(s -> s.estimate().isPresent())) {
                reasons.add(night.record() + " has no thermal pass that counts");
            }
        }
        List<String> sets = nights.stream().map(ComparedNight::set).distinct().toList();
        if (!sets.contains(against)) {
            reasons.add("no record is of fan set " + against + ", only of " + String.join(", ", sets));
        }
        byBench.values().forEach(of -> reasons.addAll(refusalsOnBench(of, byBench.size() > 1, against)));
        return reasons;
    }

    private static List<String> refusalsOnBench(List<ComparedNight> nights, boolean severalBenches, String against) {
        List<String> reasons = new ArrayList<>();
        ComparedNight first = nights.get(0);
        String bench = "bench \"" + first.files().bench().name() + "\"";
        for (ComparedNight night : nights) {
            double share = night.heatFlowWatts() / first.heatFlowWatts() - 1.0;
            if (Double.isNaN(night.heatFlowWatts()) != Double.isNaN(first.heatFlowWatts())) {
                reasons.add(
                        "the heat flow was measured in one of " + first.record() + " and " + night.record() + " only");
            } else if (StrictMath.abs(share) > MOST_HEAT_FLOW_SHARE) {
                reasons.add("the heat flow of " + night.record() + " was "
                        + Decimals.fixed(night.heatFlowWatts(), 1) + " W, that of " + first.record() + " "
                        + Decimals.fixed(first.heatFlowWatts(), 1) + " W");
            }
        }
        List<String> sets = nights.stream().map(ComparedNight::set).distinct().toList();
        if (severalBenches && (sets.size() < 2 || !sets.contains(against))) {
            reasons.add(bench + " has only fan set " + String.join(", ", sets)
                    + "; rises of two benches cannot be compared, differences can: each needs " + against
                    + " and another set");
        } else if (nights.size() < 2) {
            reasons.add(bench + " has one record only");
        }
        return reasons;
    }

    private static String measured(ComparedNight night) {
        return night.results().simulated() ? "SIMULATED" : "measured";
    }

    private static List<String> changedCorrections(ComparedNight first, ComparedNight night) {
        List<String> reasons = new ArrayList<>();
        BenchFile before = first.files().bench();
        BenchFile now = night.files().bench();
        for (ChannelSpec channel : before.channels()) {
            Optional<ChannelSpec> same = now.channel(channel.name());
            if (same.isEmpty()
                    || same.get().correction() != channel.correction()
                    || !same.get().uncertainty().equals(channel.uncertainty())
                    || !same.get().calibration().equals(channel.calibration())) {
                reasons.add("channel " + channel.name() + " of bench \"" + now.name() + "\" was corrected otherwise in "
                        + night.record() + " than in " + first.record() + "; its offset would not cancel");
            }
        }
        if (!now.simulation()
                .map(SimulationSpec::seed)
                .equals(before.simulation().map(SimulationSpec::seed))) {
            reasons.add("the simulated bench \"" + now.name() + "\" has another seed in " + night.record() + " than in "
                    + first.record() + ", and so other sensors");
        }
        return reasons;
    }

    // ---- what is found

    private static OnBench onBench(List<ComparedNight> nights, String against, double equivalentWithinKelvin) {
        double watts = nights.stream()
                .mapToDouble(ComparedNight::heatFlowWatts)
                .average()
                .orElse(Double.NaN);
        List<SetNight> alike = nights.stream().map(n -> n.atHeatFlow(watts)).toList();
        List<String> order = nights.stream().map(ComparedNight::set).toList();
        List<Difference> differences = order.stream().distinct().count() < 2
                ? List.of()
                : Comparison.of(alike, against, 0.0, equivalentWithinKelvin, StepResult.PROBABILITY)
                        .differences();
        return new OnBench(
                nights.get(0).files().bench().name(),
                order,
                watts,
                differences,
                LevelComparison.of(nights, alike, against, equivalentWithinKelvin),
                nightAgreements(alike));
    }

    /** The probability of each interval if so many are to hold at once in 95 %. */
    private static double eachOf(int family) {
        return 1.0 - (1.0 - StepResult.PROBABILITY) / family;
    }

    private static List<NightAgreement> nightAgreements(List<SetNight> nights) {
        Map<String, SetNight> firsts = new LinkedHashMap<>();
        List<IntFunction<NightAgreement>> judged = new ArrayList<>();
        for (SetNight night : nights) {
            SetNight first = firsts.putIfAbsent(night.set(), night);
            if (first == null) {
                continue;
            }
            List<StepEstimate> earlier = StepEstimate.of(first.steps(), 0.0);
            for (StepEstimate now : StepEstimate.of(night.steps(), 0.0)) {
                earlier.stream()
                        .filter(e -> e.step().equals(now.step()) && e.complete() && now.complete())
                        .forEach(then -> judged.add(family -> agreement(first, then, night, now, family)));
            }
        }
        return judged.stream().map(each -> each.apply(judged.size())).toList();
    }

    private static NightAgreement agreement(
            SetNight first, StepEstimate then, SetNight later, StepEstimate now, int family) {
        Budget change = Budget.ofDifference(now.full(), then.full());
        return new NightAgreement(
                later.set(),
                now.step(),
                first.night(),
                later.night(),
                then.riseKelvin(),
                now.riseKelvin() - then.riseKelvin(),
                change.expanded(StepResult.PROBABILITY),
                NormalizedError.of(now.riseKelvin(), now.full(), then.riseKelvin(), then.full()),
                change.detectable(change.coverageFactor(StepResult.PROBABILITY), POWER),
                change.expanded(eachOf(family)));
    }

    private static List<BenchAgreement> agreements(List<OnBench> benches) {
        List<IntFunction<BenchAgreement>> judged = new ArrayList<>();
        OnBench first = benches.get(0);
        for (OnBench second : benches.subList(1, benches.size())) {
            for (Difference d : first.differences()) {
                second.differences().stream()
                        .filter(o -> o.set().equals(d.set()) && o.step().equals(d.step()))
                        .forEach(o -> judged.add(family -> agreement(first.bench(), d, second.bench(), o, family)));
            }
        }
        return judged.stream().map(each -> each.apply(judged.size())).toList();
    }

    private static BenchAgreement agreement(
            String firstBench, Difference first, String secondBench, Difference second, int family) {
        double expanded = expanded(first, second, StepResult.PROBABILITY);
        // found in four of five cases: the interval, and 0.84 of the standard uncertainty of the difference beyond it
        double detectable = expanded
                + 0.8416
                        * StrictMath.hypot(
                                first.budget().standardUncertainty(),
                                second.budget().standardUncertainty());
        return new BenchAgreement(
                first.set(),
                first.step(),
                firstBench,
                secondBench,
                first.kelvin(),
                second.kelvin(),
                expanded,
                (first.kelvin() - second.kelvin()) / expanded,
                detectable,
                expanded(first, second, eachOf(family)));
    }

    private static double expanded(Difference first, Difference second, double probability) {
        return StrictMath.hypot(
                first.budget().expanded(probability), second.budget().expanded(probability));
    }

    private static List<NightFinding> findings(List<ComparedNight> nights) {
        List<NightFinding> findings = new ArrayList<>();
        double[] densities = nights.stream()
                .flatMap(n ->
                        n.results().airDensityKilogramsPerCubicMetre().stream().boxed())
                .mapToDouble(d -> d)
                .sorted()
                .toArray();
        if (densities.length > 1) {
            double share = densities[densities.length - 1] / densities[0] - 1.0;
            if (share > LEAST_DENSITY_SHARE) {
                findings.add(new NightFinding(
                        "air-density",
                        nights.get(0).files().bench().name(),
                        "the air was " + Decimals.fixed(100.0 * share, 1)
                                + " % denser in one night than in another; denser air takes more heat at equal speed"));
            }
        }
        for (ComparedNight night : nights) {
            findings.addAll(night.since());
            for (StepResult step : night.results().steps()) {
                if (step.estimate().isEmpty()) {
                    findings.add(new NightFinding(
                            "step-missing", night.record(), "has no pass of step " + step.step() + " that counts"));
                }
            }
        }
        return findings;
    }
}
