package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Predicate;

/**
 * A stretch of rows, without a gap, that have something in common.
 *
 * @param first its first row
 * @param last its last row
 */
record Stretch(TruthRow first, TruthRow last) {

    /** All stretches of rows of which something is true. */
    static List<Stretch> of(List<TruthRow> rows, Predicate<TruthRow> what) {
        List<Stretch> stretches = new ArrayList<>();
        TruthRow first = null;
        TruthRow last = null;
        for (TruthRow row : rows) {
            if (what.test(row)) {
                first = first == null ? row : first;
                last = row;
            } else if (first != null) {
                stretches.add(new Stretch(first, last));
                first = null;
            }
        }
        if (first != null) {
            stretches.add(new Stretch(first, last));
        }
        return stretches;
    }

    long fromMillis() {
        return first.millis();
    }

    long toMillis() {
        return last.millis();
    }

    /** How long it took, without the time in which the program could not run, s. */
    double seconds(Facts facts) {
        double millis = toMillis() - fromMillis();
        for (Mishap pause : facts.mishaps()) {
            if (pause.what().equals(Mishap.STALL) || pause.what().equals(Mishap.SLEEP)) {
                // It begins at the first tick after its time.
                long from = pause.fromMillis();
                long to = pause.toMillis() + 12_000;
                millis -= Math.max(0, Math.min(to, toMillis()) - Math.max(from, fromMillis()));
            }
        }
        return millis / 1000;
    }
}
