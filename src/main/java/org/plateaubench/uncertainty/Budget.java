package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * An uncertainty budget: independent contributions, their combination and its coverage (GUM, clause 5 and annex G).
 *
 * @param contributions the lines, in the order in which they are shown; an empty budget is an exact value
 */
public record Budget(List<Contribution> contributions) {

    private static final int TRIALS = 100_000;
    private static final int PROPAGATED_DIGITS = 2;
    private static final long SEED = 101;

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
     * The coverage factor k: t for the effective degrees of freedom, and where limits are much of the budget less than
     * that, since what has limits has no tails (first term of the expansion of Cornish and Fisher 1938 in the kurtosis).
     * Two equal pairs of limits have 1.92 instead of 1.96 for 95 %; exact is 1.90. A single pair of limits would have 1.65
     * and gets 1.88: the term is short of it, on the safe side.
     *
     * @param probability above 0, below 1
     * @return the factor
     */
    public double coverageFactor(double probability) {
        double z = Student.factor(probability, Double.POSITIVE_INFINITY);
        return Student.factor(probability, degreesOfFreedom()) + (z * z * z - 3.0 * z) / 24.0 * excessKurtosis();
    }

    private double excessKurtosis() {
        double u = standardUncertainty();
        double kurtosis = 0.0;
        for (Contribution c : contributions) {
            double share = u == 0.0 ? 0.0 : c.inResult() / u;
            kurtosis += share * share * share * share * c.excessKurtosis();
        }
        return kurtosis;
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
     * The second path: the contributions drawn from their distributions and added (JCGM 101). The interval that comes out
     * owes nothing to effective degrees of freedom or to a coverage factor.
     *
     * @param probability of the interval; above 0, below 1
     * @return what {@value #TRIALS} trials at most give; always the same for the same budget
     * @throws IllegalArgumentException if the budget is empty
     */
    public MonteCarlo propagated(double probability) {
        return MonteCarlo.propagate(
                values -> {
                    double sum = 0.0;
                    for (double value : values) {
                        sum += value;
                    }
                    return sum;
                },
                contributions.stream().map(Contribution::distribution).toList(),
                probability,
                PROPAGATED_DIGITS,
                SEED,
                TRIALS);
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

    /**
     * The budget of a difference of two results of one bench. A shared input that is in both counts with the difference of
     * its sensitivities, every other line as it is.
     *
     * @param first budget of the first result
     * @param second budget of the second
     * @return budget of first less second, lines of the first before those of the second
     */
    public static Budget ofDifference(Budget first, Budget second) {
        Map<String, Contribution> ofSecond = new LinkedHashMap<>();
        second.contributions.stream().filter(Contribution::shared).forEach(c -> ofSecond.put(c.name(), c));
        List<Contribution> lines = new ArrayList<>();
        for (Contribution c : first.contributions) {
            Contribution other = c.shared() ? ofSecond.remove(c.name()) : null;
            lines.add(other == null ? c : c.withSensitivity(c.sensitivity() - other.sensitivity()));
        }
        for (Contribution c : second.contributions) {
            if (!c.shared() || ofSecond.containsKey(c.name())) {
                lines.add(c);
            }
        }
        return new Budget(lines);
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
