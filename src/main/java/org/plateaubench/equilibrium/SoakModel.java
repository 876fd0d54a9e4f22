package org.plateaubench.equilibrium;

import java.util.Optional;

/**
 * The least-squares model of a commissioning soak: the lagged ambient, a constant rise, and one or two decays. Its
 * parameters are the rise, the amplitudes, the logarithms of the time constants, and the probe's lag as a share of the
 * fast time constant.
 */
final class SoakModel {

    /** A probe lag with a larger standard error is left out, s. */
    private static final double LARGEST_LAG_ERROR_SECONDS = 10.0;

    private static final double RELATIVE_STEP = 1e-4;

    private final double[] seconds;
    private final double[] coolant;
    private final double[] ambient;
    private final double[] weights;

    SoakModel(BlockMeans coolantAndAmbient) {
        seconds = coolantAndAmbient.seconds();
        coolant = coolantAndAmbient.values(0);
        ambient = coolantAndAmbient.values(1);
        weights = coolantAndAmbient.weights();
    }

    /** Parameters of one mode, from the rise over the ambient as it is; empty where no approach shows. */
    Optional<double[]> firstGuess() {
        return ExponentialFit.oneMode(seconds, coolantOver(ambient), weights).map(f -> new double[] {
            f.asymptote(), f.amplitude(0), StrictMath.log(f.timeConstantSeconds(0)),
        });
    }

    /** Parameters of two modes, from the rise over the ambient lagged by the time constant of the first guess. */
    double[] secondGuess(double[] first) {
        double[] rise = coolantOver(lagged(StrictMath.exp(first[2])));
        return ExponentialFit.twoModes(seconds, rise, weights)
                .map(f -> new double[] {
                    f.asymptote(),
                    f.amplitude(0),
                    f.amplitude(1),
                    StrictMath.log(f.timeConstantSeconds(0)),
                    StrictMath.log(f.timeConstantSeconds(1))
                })
                .orElseGet(() ->
                        new double[] {first[0], 0.9 * first[1], 0.1 * first[1], first[2], first[2] + StrictMath.log(4.0)
                        });
    }

    /** The fit from a guess, with the probe's lag where the ambient moved enough to tell it. */
    Optional<LongSoak> fit(double[] guess) {
        double[] withLag = new double[guess.length + 1];
        System.arraycopy(guess, 0, withLag, 0, guess.length);
        return fitAll(withLag)
                .filter(soak -> soak.probeLag().orElseThrow().errorSeconds() <= LARGEST_LAG_ERROR_SECONDS)
                .or(() -> fitAll(guess));
    }

    private Optional<LongSoak> fitAll(double[] start) {
        return LeastSquares.nonlinear(this::predict, coolant, weights, start).map(SoakModel::soak);
    }

    private double[] predict(double[] p, double[][] gradients) {
        int modes = modes(p.length);
        int lag = 1 + 2 * modes;
        double tau = timeConstant(p[1 + modes]);
        double[] lagged = lagged(tau);
        double[] slower = lagged(tau * (1.0 + RELATIVE_STEP));
        double[] faster = lagged(tau * (1.0 - RELATIVE_STEP));
        double direct = lag < p.length ? p[lag] : 0.0;
        double[] predicted = new double[seconds.length];
        for (int i = 0; i < predicted.length; i++) {
            double[] gradient = gradients[i];
            predicted[i] = p[0] + lagged[i] + direct * (ambient[i] - lagged[i]);
            gradient[0] = 1.0;
            for (int k = 0; k < modes; k++) {
                double age = (seconds[i] - seconds[0]) / timeConstant(p[1 + modes + k]);
                double decay = StrictMath.exp(-age);
                predicted[i] += p[1 + k] * decay;
                gradient[1 + k] = decay;
                gradient[1 + modes + k] = p[1 + k] * decay * age;
            }
            gradient[1 + modes] += (1.0 - direct) * (slower[i] - faster[i]) / (2.0 * RELATIVE_STEP);
            if (lag < p.length) {
                gradient[lag] = ambient[i] - lagged[i];
            }
        }
        return predicted;
    }

    private static int modes(int parameters) {
        return (parameters - 1) / 2;
    }

    /** Kept within a millisecond and ten years, so that a search that goes astray can come back. */
    private static double timeConstant(double logarithm) {
        return StrictMath.exp(StrictMath.max(-7.0, StrictMath.min(20.0, logarithm)));
    }

    private static LongSoak soak(LeastSquaresFit fit) {
        int modes = modes(fit.parameters());
        int lag = 1 + 2 * modes;
        double factor = fit.correlationFactor();
        double fast = timeConstant(fit.parameter(1 + modes));
        Optional<LongSoak.SlowMode> slowMode = Optional.empty();
        if (modes == 2) {
            double slow = timeConstant(fit.parameter(4));
            double fastPart = fit.parameter(1);
            double slowPart = fit.parameter(2);
            double whole = fastPart + slowPart;
            double shareVariance = (slowPart * slowPart * fit.covariance(1, 1)
                            - 2.0 * slowPart * fastPart * fit.covariance(1, 2)
                            + fastPart * fastPart * fit.covariance(2, 2))
                    / (whole * whole * whole * whole);
            slowMode = Optional.of(new LongSoak.SlowMode(
                    slow,
                    slow * fit.standardError(4) * factor,
                    slowPart / whole,
                    StrictMath.sqrt(shareVariance) * factor));
        }
        Optional<LongSoak.ProbeLag> probeLag = lag == fit.parameters()
                ? Optional.empty()
                : Optional.of(new LongSoak.ProbeLag(fast * fit.parameter(lag), fast * fit.standardError(lag) * factor));
        return new LongSoak(fast, fast * fit.standardError(1 + modes) * factor, slowMode, probeLag, fit.parameter(0));
    }

    private double[] lagged(double timeConstantSeconds) {
        LagFilter filter = new LagFilter(timeConstantSeconds);
        double[] lagged = new double[seconds.length];
        for (int i = 0; i < lagged.length; i++) {
            lagged[i] = filter.add(seconds[i], ambient[i]);
        }
        return lagged;
    }

    private double[] coolantOver(double[] air) {
        double[] rise = new double[coolant.length];
        for (int i = 0; i < rise.length; i++) {
            rise[i] = coolant[i] - air[i];
        }
        return rise;
    }
}
