package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.List;

/**
 * An uncertainty budget: independent contributions, their combination and its coverage (GUM, clause 5 and annex G).
 *
 * @param contributions the lines, in the order in which they are shown; an empty budget is an exact value
 */
public record Budget(List<Contribution> contributions) {

    /** Copies the list. */
    public Budget {
        contributions = List.copyOf(contributions);
    }

    /** {@return the combined standard uncertainty, root of the sum of squares (GUM, equation 10), result's unit} */
    public double standardUncertainty() {
        double variance = 0.0;
        for (Contribution c : contributions) {
            variance += c.inResult() * c.inResult();
        }
        return StrictMath.sqrt(variance);
    }

    /**
     * The effective degrees of freedom by Welch and Satterthwaite (GUM, equation G.2b), not rounded.
     *
     * @return above 0; infinite where every contribution is well known or none is there
     */
    public double degreesOfFreedom() {
        double u = standardUncertainty();
        if (u == 0.0) {
            return Double.POSITIVE_INFINITY;
        }
        double sum = 0.0;
        for (Contribution c : contributions) {
            double share = c.inResult() / u;
            sum += share * share * share * share / c.degreesOfFreedom();
        }
        return 1.0 / sum;
    }

    /**
     * The coverage factor k.
     *
     * @param probability above 0, below 1
     * @return t for the effective degrees of freedom
     */
    public double coverageFactor(double probability) {
        return Student.factor(probability, degreesOfFreedom());
    }

    /**
     * The expanded uncertainty U, half the width of the interval that covers with the given probability.
     *
     * @param probability above 0, below 1
     * @return k times the combined standard uncertainty, in the result's unit
     */
    public double expanded(double probability) {
        return coverageFactor(probability) * standardUncertainty();
    }

    /**
     * The smallest true difference that an interval of this budget shows with a given power: half-width of the interval
     * plus the one-sided factor of the power, times the standard uncertainty. A little too small for few degrees of
     * freedom, where it is exact only for a known standard uncertainty.
     *
     * @param coverageFactor factor of the interval
     * @param power above 0.5, below 1; for example 0.8
     * @return the difference, in the result's unit
     */
    public double detectable(double coverageFactor, double power) {
        return (coverageFactor + Student.factor(2.0 * power - 1.0, degreesOfFreedom())) * standardUncertainty();
    }

    /** {@return the budget without the lines that are the same in two results of one bench} */
    public Budget withoutCancelling() {
        return new Budget(contributions.stream().filter(c -> !c.cancels()).toList());
    }

    /**
     * The budget with more lines at its end.
     *
     * @param more the lines
     * @return a new budget
     */
    public Budget plus(List<Contribution> more) {
        List<Contribution> all = new ArrayList<>(contributions);
        all.addAll(more);
        return new Budget(all);
    }
}
