package org.plateaubench.equilibrium;

import org.apache.commons.math3.distribution.NormalDistribution;

/** Several probes in the same air: their weighted mean, and whether they agree. Weights go with 1/u². */
public final class AmbientProbes {

    /** Chance that probes which agree are said not to. */
    private static final double FALSE_ALARM = 0.05;

    private final double[] uncertainties;
    private final double[] weights;
    private final double sumOfWeights;

    /**
     * Whether the probes agree.
     *
     * @param agree no probe is farther from the others than its uncertainty and theirs allow
     * @param farthest which probe is farthest from the others, from 0; 0 where there is one probe
     * @param deviationKelvin by how much it is warmer than the weighted mean of the others, K
     * @param allowedKelvin how much is allowed, K
     */
    public record Agreement(boolean agree, int farthest, double deviationKelvin, double allowedKelvin) {}

    /**
     * The probes.
     *
     * @param standardUncertaintiesKelvin standard uncertainty of each probe, K; above 0, at least one
     * @throws IllegalArgumentException if there is none or one is not above 0
     */
    public AmbientProbes(double... standardUncertaintiesKelvin) {
        if (standardUncertaintiesKelvin.length == 0) {
            throw new IllegalArgumentException("an ambient needs a probe");
        }
        uncertainties = standardUncertaintiesKelvin.clone();
        weights = new double[uncertainties.length];
        double sum = 0.0;
        for (int i = 0; i < weights.length; i++) {
            if (!(uncertainties[i] > 0.0) || Double.isInfinite(uncertainties[i])) {
                throw new IllegalArgumentException(
                        "a probe needs a standard uncertainty above 0 K, found " + uncertainties[i] + " K");
            }
            weights[i] = 1.0 / (uncertainties[i] * uncertainties[i]);
            sum += weights[i];
        }
        sumOfWeights = sum;
    }

    /**
     * Weighted mean of one reading of every probe. A mean without one of the probes would jump by their offsets, so there
     * is none.
     *
     * @param celsius readings, °C, one a probe, in the order of the uncertainties
     * @return °C; NaN if a reading is NaN
     * @throws IllegalArgumentException if there are not as many readings as probes
     */
    public double mean(double... celsius) {
        check(celsius);
        double sum = 0.0;
        for (int i = 0; i < weights.length; i++) {
            sum += weights[i] * celsius[i];
        }
        return sum / sumOfWeights;
    }

    /** {@return standard uncertainty of the mean, K, for errors of the probes that have nothing in common} */
    public double standardUncertaintyKelvin() {
        return StrictMath.sqrt(1.0 / sumOfWeights);
    }

    /**
     * Compares each probe with the weighted mean of the others. Give means over minutes, so that noise does not decide.
     * The chance of a false alarm is at most 5 % for all probes together (Bonferroni).
     *
     * @param celsius mean reading of each probe, °C
     * @return whether they agree
     * @throws IllegalArgumentException if there are not as many readings as probes
     */
    public Agreement agreement(double... celsius) {
        check(celsius);
        int probes = weights.length;
        if (probes == 1) {
            return new Agreement(true, 0, 0.0, 0.0);
        }
        // two probes make one comparison, seen from both sides
        int comparisons = probes == 2 ? 1 : probes;
        double k = new NormalDistribution(null, 0.0, 1.0)
                .inverseCumulativeProbability(1.0 - FALSE_ALARM / (2.0 * comparisons));
        double mean = mean(celsius);
        Agreement farthest = null;
        for (int i = 0; i < probes; i++) {
            double others = sumOfWeights - weights[i];
            double deviation = celsius[i] - (sumOfWeights * mean - weights[i] * celsius[i]) / others;
            double allowed = k * StrictMath.sqrt(uncertainties[i] * uncertainties[i] + 1.0 / others);
            boolean within = StrictMath.abs(deviation) <= allowed;
            if (farthest == null
                    || StrictMath.abs(deviation) / allowed
                            > StrictMath.abs(farthest.deviationKelvin) / farthest.allowedKelvin) {
                farthest = new Agreement(within, i, deviation, allowed);
            }
        }
        return farthest;
    }

    private void check(double[] celsius) {
        if (celsius.length != weights.length) {
            throw new IllegalArgumentException(
                    "needed a reading of each of " + weights.length + " probes, found " + celsius.length);
        }
    }
}
