package org.plateaubench.equilibrium;

import java.util.Arrays;
import java.util.Optional;

/**
 * An approach to equilibrium, fitted as a constant and one or two decaying exponentials:
 * {@code y(t) = asymptote + sum of amplitude exp(-(t - t0)/tau)}, with {@code t0} the first time. No start has to be
 * given: the search begins at the best time constants of a grid, for which the rest of the problem is linear.
 */
public final class ExponentialFit {

    private static final int GRID = 16;
    private static final double SHORTEST_SHARE_OF_SPAN = 0.01;
    private static final double LONGEST_SHARE_OF_SPAN = 2.0;

    private final LeastSquaresFit fit;
    private final double startSeconds;
    private final double[] timeConstants;

    private ExponentialFit(LeastSquaresFit fit, double startSeconds, double[] timeConstants) {
        this.fit = fit;
        this.startSeconds = startSeconds;
        this.timeConstants = timeConstants;
    }

    /**
     * One exponential.
     *
     * @param seconds times, s, rising; at least four
     * @param values a value at each time
     * @param weights weights of the values, above 0
     * @return the fit; empty where the data show no decay, or none within twice their span
     * @throws IllegalArgumentException if the shapes do not match or there are fewer than four values
     */
    public static Optional<ExponentialFit> oneMode(double[] seconds, double[] values, double[] weights) {
        return fit(seconds, values, weights, 1);
    }

    /**
     * Two exponentials.
     *
     * @param seconds times, s, rising; at least six
     * @param values a value at each time
     * @param weights weights of the values, above 0
     * @return the fit; empty where the data do not show two decays that can be told apart
     * @throws IllegalArgumentException if the shapes do not match or there are fewer than six values
     */
    public static Optional<ExponentialFit> twoModes(double[] seconds, double[] values, double[] weights) {
        return fit(seconds, values, weights, 2);
    }

    /**
     * Two exponentials, the slow one with a time constant that is known from a commissioning soak.
     *
     * @param seconds times, s, rising; at least five
     * @param values a value at each time
     * @param weights weights of the values, above 0
     * @param slowTimeConstantSeconds time constant of the slow mode, s; above 0
     * @return the fit; empty where the data show no decay besides the slow one
     * @throws IllegalArgumentException if the shapes do not match or there are fewer than five values
     */
    public static Optional<ExponentialFit> twoModes(
            double[] seconds, double[] values, double[] weights, double slowTimeConstantSeconds) {
        return fit(seconds, values, weights, 1, slowTimeConstantSeconds);
    }

    /**
     * One exponential with a time constant that is known from a commissioning soak.
     *
     * @param seconds times, s, rising; at least three
     * @param values a value at each time
     * @param weights weights of the values, above 0
     * @param slowTimeConstantSeconds time constant, s; above 0
     * @return the fit; empty where the times do not allow one
     * @throws IllegalArgumentException if the shapes do not match or there are fewer than three values
     */
    public static Optional<ExponentialFit> slowMode(
            double[] seconds, double[] values, double[] weights, double slowTimeConstantSeconds) {
        return fit(seconds, values, weights, 0, slowTimeConstantSeconds);
    }

    private static Optional<ExponentialFit> fit(
            double[] seconds, double[] values, double[] weights, int free, double... known) {
        int modes = free + known.length;
        if (values.length < 1 + modes + free + 1 || seconds.length != values.length) {
            throw new IllegalArgumentException("a fit of " + modes + " exponentials needs " + (2 + modes + free)
                    + " values or more, each with its time; found " + values.length + " values, " + seconds.length
                    + " times");
        }
        double start = seconds[0];
        double span = seconds[seconds.length - 1] - start;
        double[] best = bestOfGrid(seconds, values, weights, free, known);
        double[][] knownDecays = new double[known.length][];
        for (int k = 0; k < known.length; k++) {
            knownDecays[k] = decays(seconds, known[k]);
        }
        Optional<LeastSquaresFit> found = LeastSquares.nonlinear(
                (p, gradients) -> {
                    double[] predicted = new double[seconds.length];
                    Arrays.fill(predicted, p[0]);
                    for (double[] gradient : gradients) {
                        gradient[0] = 1.0;
                    }
                    for (int k = 0; k < modes; k++) {
                        double tau = k < free ? StrictMath.exp(p[1 + modes + k]) : known[k - free];
                        double[] decays = k < free ? decays(seconds, tau) : knownDecays[k - free];
                        for (int i = 0; i < predicted.length; i++) {
                            predicted[i] += p[1 + k] * decays[i];
                            gradients[i][1 + k] = decays[i];
                            if (k < free) {
                                gradients[i][1 + modes + k] = p[1 + k] * decays[i] * ((seconds[i] - start) / tau);
                            }
                        }
                    }
                    return predicted;
                },
                values,
                weights,
                best);
        return found.flatMap(fit -> {
            double[] timeConstants = new double[modes];
            for (int k = 0; k < modes; k++) {
                timeConstants[k] = k < free ? StrictMath.exp(fit.parameter(1 + modes + k)) : known[k - free];
                if (k < free && !(timeConstants[k] < LONGEST_SHARE_OF_SPAN * span)) {
                    return Optional.empty();
                }
                if (k > 0 && !(timeConstants[k - 1] < timeConstants[k])) {
                    return Optional.empty();
                }
            }
            return Optional.of(new ExponentialFit(fit, start, timeConstants));
        });
    }

    /** What is left of an amplitude of one at each time. */
    private static double[] decays(double[] seconds, double tau) {
        double[] decays = new double[seconds.length];
        for (int i = 0; i < decays.length; i++) {
            decays[i] = StrictMath.exp(-((seconds[i] - seconds[0]) / tau));
        }
        return decays;
    }

    /** Parameters for the best time constants of a grid: asymptote, amplitudes, logarithms of free time constants. */
    private static double[] bestOfGrid(double[] seconds, double[] values, double[] weights, int free, double[] known) {
        int modes = free + known.length;
        double span = seconds[seconds.length - 1] - seconds[0];
        double[] tau = new double[modes];
        System.arraycopy(known, 0, tau, free, known.length);
        double[] best = new double[1 + modes + free];
        double least = Double.POSITIVE_INFINITY;
        for (int i = 0; i < (free > 0 ? GRID : 1); i++) {
            for (int j = i + 1; j < (free > 1 ? GRID : i + 2); j++) {
                for (int k = 0; k < free; k++) {
                    tau[k] = gridTime(k == 0 ? i : j, span);
                }
                Moments.Regression linear = linear(seconds, values, weights, tau);
                if (linear.residualSumOfSquares() < least) {
                    least = linear.residualSumOfSquares();
                    best[0] = linear.constant();
                    System.arraycopy(linear.coefficients(), 0, best, 1, modes);
                    for (int k = 0; k < free; k++) {
                        best[1 + modes + k] = StrictMath.log(tau[k]);
                    }
                }
            }
        }
        return best;
    }

    private static Moments.Regression linear(double[] seconds, double[] values, double[] weights, double[] tau) {
        double[][] columns = new double[tau.length + 1][];
        for (int k = 0; k < tau.length; k++) {
            columns[k] = decays(seconds, tau[k]);
        }
        columns[tau.length] = values;
        return Moments.of(weights, columns).regression();
    }

    private static double gridTime(int index, double span) {
        double share = index / (GRID - 1.0);
        return span * SHORTEST_SHARE_OF_SPAN * StrictMath.pow(LONGEST_SHARE_OF_SPAN / SHORTEST_SHARE_OF_SPAN, share);
    }

    /** {@return how many exponentials} */
    public int modes() {
        return timeConstants.length;
    }

    /** {@return value that is approached} */
    public double asymptote() {
        return fit.parameter(0);
    }

    /**
     * Time constant of one mode.
     *
     * @param mode which, from 0, the fastest first
     * @return s
     */
    public double timeConstantSeconds(int mode) {
        return timeConstants[mode];
    }

    /**
     * Standard error of a time constant.
     *
     * @param mode which, from 0
     * @return s; 0 for a time constant that was given
     */
    public double timeConstantErrorSeconds(int mode) {
        int index = 1 + modes() + mode;
        return index < fit.parameters()
                ? timeConstants[mode] * fit.standardError(index) * fit.correlationFactor()
                : 0.0;
    }

    /**
     * Amplitude of one mode at the first time: negative where the values rise towards the asymptote.
     *
     * @param mode which, from 0
     * @return amplitude
     */
    public double amplitude(int mode) {
        return fit.parameter(1 + mode);
    }

    /**
     * Standard error of an amplitude.
     *
     * @param mode which, from 0
     * @return standard error
     */
    public double amplitudeError(int mode) {
        return fit.standardError(1 + mode) * fit.correlationFactor();
    }

    /**
     * How far the mean of a time is from the asymptote, by the fit.
     *
     * @param fromSeconds beginning, s
     * @param toSeconds end, s; later
     * @return asymptote less mean: above 0 where the values still rise
     */
    public double meanRemaining(double fromSeconds, double toSeconds) {
        double sum = 0.0;
        for (int k = 0; k < modes(); k++) {
            sum -= amplitude(k) * meanDecay(k, fromSeconds, toSeconds);
        }
        return sum;
    }

    /**
     * Standard error of {@link #meanRemaining}.
     *
     * @param fromSeconds beginning, s
     * @param toSeconds end, s; later
     * @return standard error, enlarged for the correlation of the residuals
     */
    public double meanRemainingError(double fromSeconds, double toSeconds) {
        double[] gradient = new double[fit.parameters()];
        for (int k = 0; k < modes(); k++) {
            gradient[1 + k] = -meanDecay(k, fromSeconds, toSeconds);
            if (1 + modes() + k < gradient.length) {
                double tau = timeConstants[k];
                double a = fromSeconds - startSeconds;
                double b = toSeconds - startSeconds;
                double moment = (a * StrictMath.exp(-a / tau) - b * StrictMath.exp(-b / tau)) / (b - a);
                gradient[1 + modes() + k] = -amplitude(k) * (meanDecay(k, fromSeconds, toSeconds) + moment);
            }
        }
        double variance = 0.0;
        for (int i = 0; i < gradient.length; i++) {
            for (int j = 0; j < gradient.length; j++) {
                variance += gradient[i] * gradient[j] * fit.covariance(i, j);
            }
        }
        return StrictMath.sqrt(StrictMath.max(0.0, variance)) * fit.correlationFactor();
    }

    /** Mean of exp(-(t - t0)/tau) over a time. */
    private double meanDecay(int mode, double fromSeconds, double toSeconds) {
        double tau = timeConstants[mode];
        double step = (toSeconds - fromSeconds) / tau;
        return StrictMath.exp(-(fromSeconds - startSeconds) / tau) * -StrictMath.expm1(-step) / step;
    }
}
