package org.plateaubench.results;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Collectors;
import org.plateaubench.results.NightComparison.BenchAgreement;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.uncertainty.NormalizedError;
import org.plateaubench.units.Decimals;

/**
 * Whether a night that was run again found what the first one found. On one bench each step is judged by its E number, what
 * errs alike in both left out; on two benches only the differences between fan sets are, since rises of two benches cannot
 * agree. The verdict on all of them allows for their number: of twenty steps that agree one has an E number above 1 by
 * chance. What would have been seen is said with it, since a wide interval agrees with everything.
 *
 * @param reproduced true if every step was judged, and none is apart
 * @param text what to say, one line
 */
public record ReplayVerdict(boolean reproduced, String text) {

    /** One judged step. */
    private record Judged(String step, String name, double normalizedError, boolean apart, double detectableKelvin) {
        private Judged(NightAgreement a) {
            this(a.step(), a.step(), a.normalizedError(), a.apart(), a.detectableKelvin());
        }

        private Judged(BenchAgreement a) {
            this(a.step(), a.set() + " " + a.step(), a.normalizedError(), a.apart(), a.detectableKelvin());
        }

        private String text() {
            return name + " (E " + Decimals.fixed(normalizedError, 2) + ")";
        }
    }

    /**
     * Judges.
     *
     * @param first the record that was replayed
     * @param comparison it and its replay on one bench; on two benches those and at least one night of another fan set on each
     * @return the verdict
     */
    public static ReplayVerdict of(ComparedNight first, NightComparison comparison) {
        List<Judged> judged = new ArrayList<>();
        if (comparison.benches().size() > 1) {
            comparison.benchAgreements().forEach(a -> judged.add(new Judged(a)));
        } else {
            comparison.benches().get(0).nightAgreements().forEach(a -> judged.add(new Judged(a)));
        }
        List<String> missing = first.results().steps().stream()
                .map(StepResult::step)
                .filter(step -> judged.stream().noneMatch(j -> j.step().equals(step)))
                .toList();
        List<Judged> apart = judged.stream().filter(Judged::apart).toList();
        if (!apart.isEmpty()) {
            return new ReplayVerdict(
                    false, "NOT reproduced: apart at " + texts(apart) + ", " + apart.size() + " of " + judged.size());
        }
        if (!missing.isEmpty()) {
            return new ReplayVerdict(
                    false,
                    "NOT JUDGED at " + String.join(", ", missing)
                            + ": a step is judged where it, or another one of its night, was repeated in both nights");
        }
        List<Judged> alone = judged.stream()
                .filter(j -> !NormalizedError.agrees(j.normalizedError()))
                .toList();
        Judged widest = judged.stream()
                .max(Comparator.comparingDouble(Judged::detectableKelvin))
                .orElseThrow(() -> new IllegalArgumentException("there is no step to judge by"));
        return new ReplayVerdict(
                true,
                "reproduced: none of " + judged.size() + " is apart by more than chance may make"
                        + (alone.isEmpty() ? "" : " (one in twenty is above 1 by itself, here " + texts(alone) + ")")
                        + "; differences below " + Decimals.fixed(widest.detectableKelvin(), 3) + " K (" + widest.name()
                        + ") may have stayed unseen");
    }

    private static String texts(List<Judged> steps) {
        return steps.stream().map(Judged::text).collect(Collectors.joining(", "));
    }
}
