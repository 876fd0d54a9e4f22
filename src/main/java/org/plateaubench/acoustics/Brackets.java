package org.plateaubench.acoustics;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * The brackets of a night as own energies over the mean background, and the covariance of these. A mean varies as the
 * square of its energy over its time; a listen to the background that two brackets share makes their errors alike.
 */
final class Brackets {

    /** No mean is taken to be better than 0.02 dB, as a relative variance. */
    private static final double BEST_VARIANCE = square(0.02 * Levels.NATURAL);

    private final double[] rpm;
    private final double[] fansEnergy;
    private final double[] fansSeconds;
    private final double[] ownEnergy;
    private final double[][] backgroundWeights;
    private final double[] backgroundEnergy;
    private final double[] backgroundSeconds;
    private final double unitEnergy;
    private final double noiseSeconds;
    private final double noiseFreedom;

    /**
     * Puts brackets together.
     *
     * @param given at least three
     */
    Brackets(List<Bracket> given) {
        List<Bracket> inTime = given.stream()
                .sorted(Comparator.comparingDouble(b -> b.fans().middleSeconds()))
                .toList();
        int count = inTime.size();
        Map<Listen, Integer> backgrounds = new LinkedHashMap<>();
        for (Bracket b : inTime) {
            backgrounds.putIfAbsent(b.before(), backgrounds.size());
            backgrounds.putIfAbsent(b.after(), backgrounds.size());
        }
        unitEnergy = backgrounds.keySet().stream()
                .mapToDouble(Listen::energy)
                .average()
                .orElseThrow();
        backgroundEnergy = backgrounds.keySet().stream()
                .mapToDouble(l -> l.energy() / unitEnergy)
                .toArray();
        backgroundSeconds = backgrounds.keySet().stream()
                .mapToDouble(Listen::countedSeconds)
                .toArray();
        rpm = inTime.stream().mapToDouble(Bracket::rpm).toArray();
        fansEnergy =
                inTime.stream().mapToDouble(b -> b.fans().energy() / unitEnergy).toArray();
        fansSeconds =
                inTime.stream().mapToDouble(b -> b.fans().countedSeconds()).toArray();
        ownEnergy = new double[count];
        backgroundWeights = new double[count][backgrounds.size()];
        for (int i = 0; i < count; i++) {
            Bracket b = inTime.get(i);
            backgroundWeights[i][backgrounds.get(b.before())] += 1.0 - b.afterShare();
            backgroundWeights[i][backgrounds.get(b.after())] += b.afterShare();
            ownEnergy[i] = fansEnergy[i] - background(i);
        }
        List<double[]> changes = new ArrayList<>();
        for (Bracket b : inTime) {
            double[] change = new double[backgrounds.size()];
            change[backgrounds.get(b.after())] += 1.0;
            change[backgrounds.get(b.before())] -= 1.0;
            changes.add(change);
        }
        noiseSeconds = noise(changes);
        noiseFreedom = 2.0 * square(count - 1) / (3.0 * count - 4.0);
    }

    /**
     * Relative variance of a mean times its time, s, from the second differences of the changes of background within
     * brackets, in which a steady drift cancels. Their degrees of freedom are those of a mean square successive difference
     * (von Neumann 1941).
     */
    private double noise(List<double[]> changes) {
        double sum = 0.0;
        for (int i = 1; i < changes.size(); i++) {
            double difference = 0.0;
            double variance = 0.0;
            for (int k = 0; k < backgroundEnergy.length; k++) {
                double weighted = (changes.get(i)[k] - changes.get(i - 1)[k]) * backgroundEnergy[k];
                difference += weighted;
                variance += weighted * weighted / backgroundSeconds[k];
            }
            sum += difference * difference / variance;
        }
        return sum / (changes.size() - 1);
    }

    int count() {
        return rpm.length;
    }

    double rpm(int i) {
        return rpm[i];
    }

    double ownEnergy(int i) {
        return ownEnergy[i];
    }

    /** Energy that all others are divided by: the mean of the backgrounds. */
    double unitEnergy() {
        return unitEnergy;
    }

    /** How well the noise is known from the backgrounds alone. */
    double noiseFreedom() {
        return noiseFreedom;
    }

    private double background(int i) {
        double sum = 0.0;
        for (int k = 0; k < backgroundEnergy.length; k++) {
            sum += backgroundWeights[i][k] * backgroundEnergy[k];
        }
        return sum;
    }

    /** Relative variance of a mean over so many seconds. */
    double relativeVariance(double seconds) {
        return noiseSeconds / seconds + BEST_VARIANCE;
    }

    /**
     * Covariance of the own energies of some brackets and, last, of the mean background.
     *
     * @param active places of the brackets
     * @param expectedOwn what own energy is expected at each of them
     */
    double[][] covariance(int[] active, double[] expectedOwn) {
        int n = active.length;
        int nodes = backgroundEnergy.length;
        double[][] weights = new double[n + 1][];
        for (int i = 0; i < n; i++) {
            weights[i] = new double[nodes];
            for (int k = 0; k < nodes; k++) {
                weights[i][k] = -backgroundWeights[active[i]][k];
            }
        }
        weights[n] = new double[nodes];
        Arrays.fill(weights[n], 1.0 / nodes);
        double[][] covariance = new double[n + 1][n + 1];
        for (int i = 0; i <= n; i++) {
            for (int j = 0; j <= n; j++) {
                for (int k = 0; k < nodes; k++) {
                    covariance[i][j] += weights[i][k]
                            * weights[j][k]
                            * square(backgroundEnergy[k])
                            * relativeVariance(backgroundSeconds[k]);
                }
            }
        }
        for (int i = 0; i < n; i++) {
            double background = background(active[i]);
            covariance[i][i] +=
                    (square(background) + square(expectedOwn[i])) * relativeVariance(fansSeconds[active[i]]);
        }
        return covariance;
    }

    static double square(double value) {
        return value * value;
    }
}
