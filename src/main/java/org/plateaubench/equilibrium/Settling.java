package org.plateaubench.equilibrium;

import java.util.Arrays;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * How far the mean of a dwell is from equilibrium, judged from the whole approach before it and the dwell itself. What is
 * missing is added to the mean; half of it is the standard uncertainty, since the sign of settling is known.
 */
public sealed interface Settling {

    /** So many blocks of readings are needed to judge an approach. */
    int LEAST_BLOCKS = 16;

    /** How many standard errors make a finding. */
    double CLEARLY = 3.0;

    /** {@return what is to be added to the mean of the dwell, K} */
    double correctionKelvin();

    /** {@return true if the slow time constant of the bench was known, so that a slow mode is part of the correction} */
    boolean slowModeExcluded();

    /** {@return standard uncertainty of the correction, K: half of it; NaN where no equilibrium is in sight} */
    default double standardUncertaintyKelvin() {
        return 0.5 * StrictMath.abs(correctionKelvin());
    }

    /**
     * An approach to an equilibrium that the data show.
     *
     * @param correctionKelvin what is to be added to the mean of the dwell, K
     * @param fitErrorKelvin standard error of the correction from the scatter of the readings, K; it shows in the spread
     *     of passes already
     * @param timeConstantSeconds fast time constant of the fit, s; the slow one where only that shows
     * @param timeConstantErrorSeconds its standard error, s; infinite where only the slow mode shows
     * @param slowModeExcluded the slow time constant was known
     */
    record Approach(
            double correctionKelvin,
            double fitErrorKelvin,
            double timeConstantSeconds,
            double timeConstantErrorSeconds,
            boolean slowModeExcluded)
            implements Settling {}

    /**
     * Nothing left to see: neither an approach nor a drift.
     *
     * @param slowModeExcluded the slow time constant was known
     */
    record Flat(boolean slowModeExcluded) implements Settling {
        @Override
        public double correctionKelvin() {
            return 0.0;
        }
    }

    /**
     * No equilibrium is in sight: the values drift on. It never settles, as far as the data can say.
     *
     * @param driftKelvinPerHour drift over the latter half of the data, K/h
     */
    record Drift(double driftKelvinPerHour) implements Settling {
        @Override
        public double correctionKelvin() {
            return 0.0;
        }

        @Override
        public double standardUncertaintyKelvin() {
            return Double.NaN;
        }

        @Override
        public boolean slowModeExcluded() {
            return false;
        }
    }

    /**
     * Judges a dwell.
     *
     * @param rise the rise from when heat or speed changed to the end of the dwell, one column; a minute at the beginning
     *     is better left out, since the first response of a loop is no exponential
     * @param dwellFromSeconds beginning of the dwell, s
     * @param dwellToSeconds end of the dwell, s; later
     * @param slowTimeConstantSeconds slow time constant of the bench, s, above 0, if it was commissioned
     * @return the judgement
     * @throws IllegalArgumentException if there are fewer than {@value #LEAST_BLOCKS} blocks of data
     */
    static Settling of(
            BlockMeans rise, double dwellFromSeconds, double dwellToSeconds, OptionalDouble slowTimeConstantSeconds) {
        if (rise.size() < LEAST_BLOCKS) {
            throw new IllegalArgumentException(
                    "an approach is judged from " + LEAST_BLOCKS + " blocks of readings or more, found " + rise.size());
        }
        double[] seconds = rise.seconds();
        double[] values = rise.values(0);
        double[] weights = rise.weights();
        boolean known = slowTimeConstantSeconds.isPresent();
        Optional<ExponentialFit> fit = known
                ? withSlowMode(seconds, values, weights, slowTimeConstantSeconds.getAsDouble())
                : ExponentialFit.oneMode(seconds, values, weights)
                        .filter(f -> StrictMath.abs(f.amplitude(0)) > CLEARLY * f.amplitudeError(0));
        if (fit.isPresent()) {
            return new Approach(
                    fit.get().meanRemaining(dwellFromSeconds, dwellToSeconds),
                    fit.get().meanRemainingError(dwellFromSeconds, dwellToSeconds),
                    fit.get().timeConstantSeconds(0),
                    known && fit.get().modes() == 1
                            ? Double.POSITIVE_INFINITY
                            : fit.get().timeConstantErrorSeconds(0),
                    known);
        }
        LeastSquaresFit line = lineThroughLatterHalf(seconds, values, weights);
        boolean drifts = StrictMath.abs(line.parameter(1)) > CLEARLY * line.standardError(1) * line.correlationFactor();
        return drifts ? new Drift(line.parameter(1) * 3600.0) : new Flat(known);
    }

    private static Optional<ExponentialFit> withSlowMode(
            double[] seconds, double[] values, double[] weights, double slowTimeConstantSeconds) {
        return ExponentialFit.twoModes(seconds, values, weights, slowTimeConstantSeconds)
                .or(() -> ExponentialFit.slowMode(seconds, values, weights, slowTimeConstantSeconds));
    }

    private static LeastSquaresFit lineThroughLatterHalf(double[] seconds, double[] values, double[] weights) {
        int from = seconds.length / 2;
        double[][] rows = new double[seconds.length - from][];
        for (int i = 0; i < rows.length; i++) {
            rows[i] = new double[] {1.0, seconds[from + i] - seconds[from]};
        }
        return LeastSquares.linear(
                        rows,
                        Arrays.copyOfRange(values, from, values.length),
                        Arrays.copyOfRange(weights, from, weights.length))
                .orElseThrow();
    }
}
