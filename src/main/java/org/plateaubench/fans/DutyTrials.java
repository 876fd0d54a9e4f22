package org.plateaubench.fans;

import java.util.Collection;
import java.util.List;

/**
 * A duty that was sought again and again: start duties from rest, or stop duties of the running fan.
 *
 * @param duties what each trial found, %, in order; at least one
 */
public record DutyTrials(List<Double> duties) {

    /** Duties that scatter by more than this from trial to trial are those of a fan that sticks. Common practice. */
    private static final double STEADY_PERCENT = 2.0;

    /**
     * Copies and checks the list.
     *
     * @throws IllegalArgumentException if it is empty or holds NaN
     */
    public DutyTrials {
        duties = List.copyOf(duties);
        if (duties.isEmpty() || duties.stream().anyMatch(d -> d.isNaN())) {
            throw new IllegalArgumentException("trials need at least one duty, each a number, found " + duties);
        }
    }

    /**
     * Trials of which some may have found nothing.
     *
     * @param found what each found, %; NaN for nothing
     * @return those that found a duty
     * @throws IllegalArgumentException if none did
     */
    public static DutyTrials of(Collection<Double> found) {
        return new DutyTrials(found.stream().filter(d -> !d.isNaN()).toList());
    }

    /** {@return mean, %} */
    public double meanPercent() {
        return duties.stream().mapToDouble(Double::doubleValue).average().orElseThrow();
    }

    /** {@return lowest, %} */
    public double lowestPercent() {
        return duties.stream().mapToDouble(Double::doubleValue).min().orElseThrow();
    }

    /** {@return highest, %} */
    public double highestPercent() {
        return duties.stream().mapToDouble(Double::doubleValue).max().orElseThrow();
    }

    /** {@return true if the trials differ by more than the search and a little scatter explain} */
    public boolean scatter() {
        return highestPercent() - lowestPercent() > STEADY_PERCENT;
    }
}
