package org.plateaubench.equilibrium;

import java.util.Random;

/** Signals of a bench whose truth is known. Shares no code with what is tested. */
final class Simulated {

    private Simulated() {}

    /** How often to repeat: a small share in every build, more with -Dplateau.campaign=10. */
    static int repetitions(int share) {
        return share * Integer.getInteger("plateau.campaign", 1);
    }

    /** Noise of a standard deviation and a lag-1 correlation. */
    static double[] noise(Random random, int n, double sigma, double correlation) {
        double[] e = new double[n];
        double fresh = sigma * StrictMath.sqrt(1.0 - correlation * correlation);
        for (int i = 0; i < n; i++) {
            e[i] = i == 0 ? sigma * random.nextGaussian() : correlation * e[i - 1] + fresh * random.nextGaussian();
        }
        return e;
    }

    /** A room at 22 °C whose heating swings it up in a third of a period and down in the rest, one reading a second. */
    static double[] room(Random random, int n, double amplitudeKelvin, double periodSeconds, double jitter) {
        double[] a = new double[n];
        double period = periodSeconds;
        double began = -random.nextDouble() * period;
        for (int t = 0; t < n; t++) {
            while (t - began > period) {
                began += period;
                period = periodSeconds * StrictMath.max(0.5, 1.0 + jitter * random.nextGaussian());
            }
            double phase = (t - began) / period;
            double up = phase < 1.0 / 3.0 ? 3.0 * phase : 1.5 * (1.0 - phase);
            a[t] = 22.0 + amplitudeKelvin * (2.0 * up - 1.0);
        }
        return a;
    }

    /** What a first-order lag makes of a series of one reading a second, by small Euler steps. */
    static double[] lagged(double[] input, double timeConstantSeconds) {
        double[] out = new double[input.length];
        out[0] = input[0];
        for (int i = 1; i < out.length; i++) {
            double y = out[i - 1];
            for (int k = 0; k < 8; k++) {
                double x = input[i - 1] + (input[i] - input[i - 1]) * (k + 0.5) / 8.0;
                y += (x - y) / (8.0 * timeConstantSeconds);
            }
            out[i] = y;
        }
        return out;
    }

    /** A value as a display with a step shows it. */
    static double shown(double value, double step) {
        return step == 0.0 ? value : StrictMath.rint(value / step) * step;
    }
}
