package org.plateaubench.uncertainty;

import org.apache.commons.math3.distribution.BetaDistribution;

/**
 * A fraction found in independent trials, with exact limits (Clopper and Pearson 1934).
 *
 * @param fraction hits over trials
 * @param low lower limit, 0 to fraction
 * @param high upper limit, fraction to 1
 */
public record Proportion(double fraction, double low, double high) {

    /**
     * Works out the limits.
     *
     * @param hits 0 to trials
     * @param trials 1 or more
     * @param probability that the limits hold the true fraction, at least; above 0, below 1
     * @return fraction and limits
     * @throws IllegalArgumentException if a number is out of its range
     */
    public static Proportion of(long hits, long trials, double probability) {
        if (trials < 1 || hits < 0 || hits > trials) {
            throw new IllegalArgumentException(
                    "a fraction needs 0 to n hits in n trials, n being 1 or more, found " + hits + " in " + trials);
        }
        if (!(probability > 0.0 && probability < 1.0)) {
            throw new IllegalArgumentException(
                    "a coverage probability must be above 0 and below 1, found " + probability);
        }
        double tail = (1.0 - probability) / 2.0;
        double low = hits == 0
                ? 0.0
                : new BetaDistribution(null, hits, trials - hits + 1.0).inverseCumulativeProbability(tail);
        double high = hits == trials
                ? 1.0
                : new BetaDistribution(null, hits + 1.0, trials - hits).inverseCumulativeProbability(1.0 - tail);
        return new Proportion((double) hits / trials, low, high);
    }
}
