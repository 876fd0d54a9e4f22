package org.plateaubench.equilibrium;

/** Judges a stream of readings by a published criterion: takes one at each interval and compares the latest few. */
public final class CriterionRule {

    private final PublishedCriterion criterion;
    private final double[] latest;
    private int taken;
    private double firstSeconds = Double.NaN;
    private double lastSeconds = Double.NaN;
    private double nextSeconds = Double.NaN;
    private boolean settled;

    /**
     * A rule without any reading yet.
     *
     * @param criterion the criterion
     */
    public CriterionRule(PublishedCriterion criterion) {
        this.criterion = criterion;
        this.latest = new double[criterion.readings()];
    }

    /**
     * Takes one good reading. A bad reading is simply not given; the next good one stands in for it.
     *
     * @param seconds when it was read, s; later than the one before
     * @param kelvin the rise, K; finite
     * @throws IllegalArgumentException if the time does not advance or a number is not finite; the rule is unchanged
     */
    public void add(double seconds, double kelvin) {
        Readings.check(lastSeconds, seconds, kelvin);
        lastSeconds = seconds;
        if (taken == 0) {
            firstSeconds = seconds;
        } else if (seconds < nextSeconds) {
            return;
        }
        nextSeconds = seconds + criterion.intervalSeconds(seconds - firstSeconds);
        System.arraycopy(latest, 1, latest, 0, latest.length - 1);
        latest[latest.length - 1] = kelvin;
        taken++;
        settled = taken >= latest.length && criterion.holds(latest, seconds - firstSeconds);
    }

    /** {@return true if the latest readings taken were alike} */
    public boolean settled() {
        return settled;
    }
}
