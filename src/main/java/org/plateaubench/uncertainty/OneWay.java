package org.plateaubench.uncertainty;

import java.util.List;

/**
 * One-way analysis of variance: what lies between groups and what within them.
 *
 * @param betweenSquares sum of squares between the groups' means and the grand mean
 * @param betweenFreedom groups less one
 * @param withinSquares sum of squares within groups
 * @param withinFreedom values less groups
 */
public record OneWay(double betweenSquares, int betweenFreedom, double withinSquares, int withinFreedom) {

    /**
     * Analyses groups.
     *
     * @param groups at least one, none of them empty; not kept
     * @return the sums
     * @throws IllegalArgumentException if there is no group, one is empty, or a value is not finite
     */
    public static OneWay of(List<double[]> groups) {
        if (groups.isEmpty()) {
            throw new IllegalArgumentException("an analysis of variance needs at least one group");
        }
        double[] all = groups.stream().flatMapToDouble(java.util.Arrays::stream).toArray();
        double grandMean = Series.of(all).mean();
        double between = 0.0;
        double within = 0.0;
        for (double[] group : groups) {
            double mean = Series.of(group).mean();
            between += group.length * (mean - grandMean) * (mean - grandMean);
            for (double value : group) {
                within += (value - mean) * (value - mean);
            }
        }
        return new OneWay(between, groups.size() - 1, within, all.length - groups.size());
    }

    /** {@return mean square between groups over mean square within; NaN where a group or a repetition is missing} */
    public double f() {
        return betweenSquares / betweenFreedom / (withinSquares / withinFreedom);
    }

    /** {@return share of the total sum of squares that lies between groups} */
    public double rSquared() {
        return betweenSquares / (betweenSquares + withinSquares);
    }

    /** {@return standard deviation within groups; NaN where no group has two values} */
    public double withinDeviation() {
        return StrictMath.sqrt(withinSquares / withinFreedom);
    }
}
