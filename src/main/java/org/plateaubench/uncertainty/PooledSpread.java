package org.plateaubench.uncertainty;

import java.util.List;

/**
 * How far passes of one step lie apart, pooled over steps because three passes alone know it too badly (t = 4.3):
 * {@code s² = a0² + c² rise²}. What does not depend on the rise, a0, is known; c is pooled.
 *
 * <p>For each step a0 is the larger of the one given and of what the passes' own floors say. c solves
 * {@code sum(nu s²/(a0² + c² rise²)) = sum(nu)} over the steps with their sample variances s² and their nu degrees of
 * freedom; it is 0 where a0 alone explains the spread.
 *
 * <p>Where a0 is most of the spread, the spread is better known than by its passes alone: a step has
 * {@code nu/(1 - 0.6 a0⁴/s⁴)} degrees of freedom, from nu where a0 is nothing to 2.5 nu where it is all. With two or three
 * steps of two passes, intervals so made hold in 92 to 99 of 100 cases whatever the share of a0; with nu alone they would
 * be twice too wide where a0 is all, and with infinitely many degrees of freedom for a0 they would hold in 88.
 *
 * @param knownKelvin a0 as given, K
 * @param relative c, K per K
 * @param degreesOfFreedom passes less steps; 0 where no step was repeated
 */
public record PooledSpread(double knownKelvin, double relative, int degreesOfFreedom) {

    private static final int HALVINGS = 100;

    /**
     * Pools the spread of steps, of one night or of several nights of one bench.
     *
     * @param steps the steps; those with one pass say nothing
     * @param knownKelvin a0, K; 0 or more, 0 where it is not known
     * @return the pooled spread
     * @throws IllegalArgumentException if a0 is negative or not finite
     */
    public static PooledSpread of(List<StepPasses> steps, double knownKelvin) {
        if (!Double.isFinite(knownKelvin) || knownKelvin < 0.0) {
            throw new IllegalArgumentException(
                    "a known spread must be finite and 0 K or more, found " + knownKelvin + " K");
        }
        int freedom = 0;
        double highest = 0.0;
        for (StepPasses step : steps) {
            freedom += step.passes().size() - 1;
            double rise = step.meanKelvin();
            highest += rise == 0.0 ? 0.0 : step.squaresKelvin() / (rise * rise);
        }
        if (freedom == 0) {
            return new PooledSpread(knownKelvin, 0.0, 0);
        }
        double low = 0.0;
        double high = highest / freedom;
        if (excess(steps, knownKelvin, low) > 0.0) {
            for (int i = 0; i < HALVINGS; i++) {
                double middle = 0.5 * (low + high);
                if (excess(steps, knownKelvin, middle) > 0.0) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
        } else {
            high = 0.0;
        }
        return new PooledSpread(knownKelvin, StrictMath.sqrt(high), freedom);
    }

    /** By how much the steps' spreads exceed what c² would explain. */
    private static double excess(List<StepPasses> steps, double knownKelvin, double relativeSquared) {
        double sum = 0.0;
        for (StepPasses step : steps) {
            double squares = step.squaresKelvin();
            if (squares > 0.0) {
                sum += squares / (known(step, knownKelvin) + fromRise(step, relativeSquared));
            }
            sum -= step.passes().size() - 1;
        }
        return sum;
    }

    private static double known(StepPasses step, double knownKelvin) {
        return StrictMath.max(knownKelvin * knownKelvin, step.floorVariance());
    }

    private static double fromRise(StepPasses step, double relativeSquared) {
        double rise = step.meanKelvin();
        return relativeSquared * rise * rise;
    }

    /**
     * The spread of the passes of one step.
     *
     * @param step the step
     * @return standard deviation of one pass, K
     */
    public double kelvin(StepPasses step) {
        return StrictMath.sqrt(known(step, knownKelvin) + fromRise(step, relative * relative));
    }

    /** The mean of a step's passes, as uncertain as this spread makes it. */
    SpreadOfMean ofMean(StepPasses step) {
        int n = step.passes().size();
        return new SpreadOfMean(
                known(step, knownKelvin) / n, fromRise(step, relative * relative) / n, degreesOfFreedom);
    }
}
