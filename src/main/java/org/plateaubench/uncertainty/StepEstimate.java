package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.List;

/**
 * The rise of one step in one night, and its uncertainty for repeatability alone and in full.
 *
 * @param step the setpoint, as it is written
 * @param passes how many passes count
 * @param riseKelvin mean of the passes' settled rises, K
 * @param ownSpreadKelvin standard deviation of this step's passes, K; NaN for a single one
 * @param pooledSpreadKelvin standard deviation of one pass, pooled over steps, K; NaN where no step was repeated
 * @param repeatability the budget of what differs from pass to pass: what another night of the same fans, mount and
 *     bench would be compared by
 * @param full the budget of everything
 * @param complete false where no step was repeated: then the spread between passes is unknown, the budgets hold only
 *     what is known, and no interval can be given
 */
public record StepEstimate(
        String step,
        int passes,
        double riseKelvin,
        double ownSpreadKelvin,
        double pooledSpreadKelvin,
        Budget repeatability,
        Budget full,
        boolean complete) {

    /** Name of the line that holds the spread between passes. */
    public static final String SPREAD = "spread between passes";

    /** Name of the line that holds the settling correction. */
    public static final String SETTLING = "settling correction";

    /**
     * Estimates the steps of one night, with the spread pooled over them.
     *
     * @param steps the steps
     * @param knownKelvin what of the spread between passes is known beforehand, K; see {@link PooledSpread}
     * @return one estimate a step, in the same order
     */
    public static List<StepEstimate> of(List<StepPasses> steps, double knownKelvin) {
        PooledSpread spread = PooledSpread.of(steps, knownKelvin);
        return steps.stream().map(step -> of(step, spread)).toList();
    }

    /**
     * Estimates one step.
     *
     * @param step the step
     * @param spread the pooled spread between passes
     * @return its estimate
     */
    public static StepEstimate of(StepPasses step, PooledSpread spread) {
        boolean complete = spread.degreesOfFreedom() > 0;
        Contribution scatter = spread.ofMean(step).line();
        List<Contribution> all = new ArrayList<>();
        all.add(scatter);
        all.addAll(step.common());
        return new StepEstimate(
                step.step(),
                step.passes().size(),
                step.meanKelvin(),
                Series.of(step.settledKelvin()).standardDeviation(),
                complete ? spread.kelvin(step) : Double.NaN,
                new Budget(List.of(scatter)),
                new Budget(all),
                complete);
    }

    /**
     * Half-width of the interval of the rise.
     *
     * @param probability above 0, below 1
     * @return U, K; NaN where no interval can be given
     */
    public double expandedKelvin(double probability) {
        return complete ? full.expanded(probability) : Double.NaN;
    }

    /**
     * Half-width of the interval for repeatability alone.
     *
     * @param probability above 0, below 1
     * @return U, K; NaN where no interval can be given
     */
    public double repeatabilityKelvin(double probability) {
        return complete ? repeatability.expanded(probability) : Double.NaN;
    }

    /**
     * The coverage factor of the full uncertainty.
     *
     * @param probability above 0, below 1
     * @return k; NaN where no interval can be given
     */
    public double coverageFactor(double probability) {
        return complete ? full.coverageFactor(probability) : Double.NaN;
    }

    /**
     * About what a budget would be if every step were repeated more often: its line for the spread between passes, smaller
     * and better known.
     *
     * @param budget of a step or of a difference, with such a line
     * @param repeats how often steps were repeated; 2 or more
     * @param more how often they would be
     * @return the budget
     * @throws IllegalArgumentException if steps were not repeated
     */
    public static Budget withMoreRepeats(Budget budget, int repeats, int more) {
        if (repeats < 2 || more < repeats) {
            throw new IllegalArgumentException(
                    "more repeats than two or more are needed, found " + repeats + " and " + more);
        }
        return new Budget(budget.contributions().stream()
                .map(line -> line.name().equals(SPREAD)
                        ? new Contribution(
                                SPREAD,
                                line.standardUncertainty() * StrictMath.sqrt((double) repeats / more),
                                line.degreesOfFreedom() * (more - 1) / (repeats - 1),
                                line.sensitivity(),
                                line.shared())
                        : line)
                .toList());
    }
}
