package org.plateaubench.cli;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.NightComparison;
import org.plateaubench.results.NightComparison.BenchAgreement;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.results.StepResult;
import org.plateaubench.units.Decimals;

/**
 * Whether a night that was run again found what the first one found. On one bench each step is judged by its E number, what
 * errs alike in both left out; on two benches only the differences between fan sets are, since rises of two benches cannot
 * agree.
 *
 * @param reproduced true if every step was judged, and all agree
 * @param text what to say, one or more lines
 */
record ReplayVerdict(boolean reproduced, String text) {

    /** One judged step. */
    private record Judged(String step, double normalizedError) {
        private boolean agrees() {
            return Math.abs(normalizedError) <= 1.0;
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
    static ReplayVerdict of(ComparedNight first, ComparedNight again, NightComparison comparison) {
        List<Judged> judged = new ArrayList<>();
        if (comparison.benches().size() > 1) {
            for (BenchAgreement a : comparison.benchAgreements()) {
                judged.add(new Judged(a.step(), a.normalizedError()));
            }
        } else {
            for (NightAgreement a : comparison.benches().get(0).nightAgreements()) {
                if (a.first().equals(first.record()) && a.later().equals(again.record())) {
                    judged.add(new Judged(a.step(), a.normalizedError()));
                }
            }
        }
        List<String> missing = first.results().steps().stream()
                .map(StepResult::step)
                .filter(step -> judged.stream().noneMatch(j -> j.step().equals(step)))
                .toList();
        List<Judged> apart = judged.stream().filter(j -> !j.agrees()).toList();
        String text = apart.isEmpty()
                ? judged.isEmpty() ? "NOT JUDGED" : "agrees in " + judged.size() + " of " + judged.size() + " judged"
                : "does NOT agree: "
                        + apart.stream()
                                .map(j -> j.step() + " (E " + Decimals.fixed(j.normalizedError(), 2) + ")")
                                .collect(Collectors.joining(", "));
        if (!missing.isEmpty()) {
            text += "; no interval for " + String.join(", ", missing)
                    + ": a step is judged where it, or another one of its night, was repeated in both";
        }
        boolean reproduced = missing.isEmpty() && apart.isEmpty() && !judged.isEmpty();
        return new ReplayVerdict(reproduced, (reproduced ? "reproduced: " : "NOT reproduced: ") + text);
    }
}
