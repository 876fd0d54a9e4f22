package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.plateaubench.results.NightComparison.BenchAgreement;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.units.Decimals;

/**
 * Whether a night that was run again found what the first one found. On one bench each step is judged by its E number, what
 * errs alike in both left out; on two benches only the differences between fan sets are, since rises of two benches cannot
 * agree. The verdict on all of them allows for their number: of twenty steps that agree one has an E number above 1 by
 * chance.
 *
 * @param reproduced true if every step was judged, and none is apart
 * @param text what to say, one line
 */
public record ReplayVerdict(boolean reproduced, String text) {

    /** One judged step. */
    private record Judged(String step, double normalizedError, boolean apart) {
        private String text() {
            return step + " (E " + Decimals.fixed(normalizedError, 2) + ")";
        }
    }

    /**
     * Judges.
     *
     * @param first the record that was replayed
     * @param again its replay
     * @param comparison both, and whatever else they are judged by
     * @return the verdict
     */
    public static ReplayVerdict of(ComparedNight first, ComparedNight again, NightComparison comparison) {
        List<Judged> judged = new ArrayList<>();
        if (comparison.benches().size() > 1) {
            for (BenchAgreement a : comparison.benchAgreements()) {
                judged.add(new Judged(a.step(), a.normalizedError(), a.apart()));
            }
        } else {
            for (NightAgreement a : comparison.benches().get(0).nightAgreements()) {
                if (a.first().equals(first.record()) && a.later().equals(again.record())) {
                    judged.add(new Judged(a.step(), a.normalizedError(), a.apart()));
                }
            }
        }
        List<String> missing = first.results().steps().stream()
                .map(StepResult::step)
                .filter(step -> judged.stream().noneMatch(j -> j.step().equals(step)))
                .toList();
        if (!missing.isEmpty()) {
            return new ReplayVerdict(
                    false,
                    "NOT JUDGED at " + String.join(", ", missing)
                            + ": a step is judged where it, or another one of its night, was repeated in both nights");
        }
        List<Judged> apart = judged.stream().filter(Judged::apart).toList();
        if (!apart.isEmpty()) {
            return new ReplayVerdict(false, "NOT reproduced: apart at " + texts(apart));
        }
        List<Judged> alone =
                judged.stream().filter(j -> Math.abs(j.normalizedError()) > 1.0).toList();
        return new ReplayVerdict(
                true,
                "reproduced: none of " + judged.size() + " differences is beyond what they may be by chance"
                        + (alone.isEmpty() ? "" : "; one in twenty is above 1 by itself, here " + texts(alone)));
    }

    private static String texts(List<Judged> steps) {
        return steps.stream().map(Judged::text).collect(Collectors.joining(", "));
    }
}
