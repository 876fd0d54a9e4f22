package org.plateaubench.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.function.ToDoubleFunction;

/**
 * Propagation of distributions by Monte Carlo, adaptive as JCGM 101 describes it (7.9.4): runs of the model until twice
 * the standard deviation of each figure, between runs, is below the numerical tolerance.
 *
 * @param trials how often the model was worked out
 * @param estimate mean of its values
 * @param standardUncertainty their standard deviation
 * @param low lower end of the probabilistically symmetric coverage interval
 * @param high its upper end
 * @param tolerance numerical tolerance, in the unit of the result
 * @param stable false if the most trials allowed were made before the figures were stable
 */
public record MonteCarlo(
        int trials,
        double estimate,
        double standardUncertainty,
        double low,
        double high,
        double tolerance,
        boolean stable) {

    private static final int LEAST_RUN = 10_000;

    /** Place of the standard uncertainty among the figures of a run. */
    private static final int DEVIATION = 1;

    /**
     * Propagates.
     *
     * @param model the measurement model; its argument holds one value an input, in their order, and is not kept
     * @param inputs independent inputs, at least one
     * @param probability of the coverage interval; above 0, below 1
     * @param significantDigits digits of the standard uncertainty that are to be meaningful, 1 or 2 as a rule
     * @param seed of the generator; the same seed gives the same figures on every Java version
     * @param mostTrials bound on the number of trials; two runs of 10,000 or more are always made
     * @return the result
     * @throws IllegalArgumentException if there is no input or a number is out of its range
     */
    public static MonteCarlo propagate(
            ToDoubleFunction<double[]> model,
            List<? extends Distribution> inputs,
            double probability,
            int significantDigits,
            long seed,
            int mostTrials) {
        if (inputs.isEmpty()) {
            throw new IllegalArgumentException("a propagation needs at least one input");
        }
        if (!(probability > 0.0 && probability < 1.0)) {
            throw new IllegalArgumentException(
                    "a coverage probability must be above 0 and below 1, found " + probability);
        }
        int runLength = (int) StrictMath.max(LEAST_RUN, StrictMath.ceil(100.0 / (1.0 - probability)));
        SplitMix64 random = new SplitMix64(seed);
        List<double[]> runs = new ArrayList<>();
        List<double[]> figures = new ArrayList<>();
        double tolerance = 0.0;
        boolean stable = false;
        do {
            runs.add(run(model, inputs, runLength, random));
            figures.add(figures(runs.get(runs.size() - 1), probability));
            if (figures.size() > 1) {
                tolerance = tolerance(Series.mean(column(figures, DEVIATION)), significantDigits);
                stable = stable(figures, tolerance);
            }
        } while (figures.size() < 2 || !stable && (long) (runs.size() + 1) * runLength <= mostTrials);
        double[] values = runs.stream().flatMapToDouble(Arrays::stream).toArray();
        double[] all = figures(values, probability);
        return new MonteCarlo(values.length, all[0], all[1], all[2], all[3], tolerance, stable);
    }

    private static double[] run(
            ToDoubleFunction<double[]> model, List<? extends Distribution> inputs, int runLength, SplitMix64 random) {
        double[] values = new double[runLength];
        double[] drawn = new double[inputs.size()];
        for (int trial = 0; trial < runLength; trial++) {
            for (int i = 0; i < drawn.length; i++) {
                drawn[i] = inputs.get(i).draw(random);
            }
            values[trial] = model.applyAsDouble(drawn);
        }
        return values;
    }

    /** Estimate, standard uncertainty, lower and upper end (JCGM 101, 7.6 and 7.7). */
    private static double[] figures(double[] values, double probability) {
        Series series = Series.of(values);
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        int covered = (int) StrictMath.round(probability * sorted.length);
        int first = (sorted.length - covered) / 2;
        return new double[] {
            series.mean(),
            series.standardDeviation(),
            sorted[first],
            sorted[StrictMath.min(first + covered, sorted.length - 1)]
        };
    }

    private static boolean stable(List<double[]> figures, double tolerance) {
        for (int i = 0; i < figures.get(0).length; i++) {
            double deviation = Series.of(column(figures, i)).standardDeviation();
            if (2.0 * deviation / StrictMath.sqrt(figures.size()) > tolerance) {
                return false;
            }
        }
        return true;
    }

    private static double[] column(List<double[]> figures, int i) {
        return figures.stream().mapToDouble(f -> f[i]).toArray();
    }

    /**
     * The numerical tolerance of a standard uncertainty: half of one in its last meaningful digit (JCGM 101, 7.9.2).
     *
     * @param standardUncertainty finite, 0 or more
     * @param significantDigits 1 or more
     * @return 0.005 for 0.1234 and two digits; 0 for 0
     */
    public static double tolerance(double standardUncertainty, int significantDigits) {
        BigDecimal rounded =
                new BigDecimal(standardUncertainty).round(new MathContext(significantDigits, RoundingMode.HALF_UP));
        return rounded.signum() == 0
                ? 0.0
                : new BigDecimal("0.5")
                        .scaleByPowerOfTen(rounded.precision() - rounded.scale() - significantDigits)
                        .doubleValue();
    }

    /**
     * Whether a result by the law of propagation is confirmed: both ends of its interval agree within the numerical
     * tolerance of its standard uncertainty (JCGM 101, 8.1). The propagation should have been asked for one digit more.
     *
     * @param value the estimate
     * @param expanded its expanded uncertainty, for the same probability
     * @param significantDigits digits of the standard uncertainty that are regarded as meaningful, 1 or 2
     * @return true if it is confirmed
     */
    public boolean confirms(double value, double expanded, int significantDigits) {
        double allowed = tolerance(standardUncertainty, significantDigits);
        return StrictMath.abs(value - expanded - low) <= allowed && StrictMath.abs(value + expanded - high) <= allowed;
    }
}
