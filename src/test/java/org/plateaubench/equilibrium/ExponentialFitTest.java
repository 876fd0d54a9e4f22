package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.Arrays;
import java.util.Optional;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class ExponentialFitTest {

    private static final double START = 5_000.0;

    private static double[] times(int n, double step) {
        double[] t = new double[n];
        for (int i = 0; i < n; i++) {
            t[i] = START + i * step;
        }
        return t;
    }

    private static double[] ones(int n) {
        double[] ones = new double[n];
        Arrays.fill(ones, 1.0);
        return ones;
    }

    private static double[] along(double[] t, DoubleUnaryOperator law) {
        return Arrays.stream(t).map(s -> law.applyAsDouble(s - START)).toArray();
    }

    @ParameterizedTest
    @ValueSource(doubles = {40.0, 250.0, 450.0, 2_000.0})
    void findsOneDecayFromNoStartAtAll(double tau) {
        double[] t = times(200, 10.0);
        ExponentialFit fit = ExponentialFit.oneMode(t, along(t, s -> 12.0 - 9.0 * StrictMath.exp(-s / tau)), ones(200))
                .orElseThrow();
        assertEquals(12.0, fit.asymptote(), 1e-7);
        assertEquals(-9.0, fit.amplitude(0), 1e-7);
        assertEquals(tau, fit.timeConstantSeconds(0), 1e-6 * tau);
    }

    @Test
    void findsTwoDecays() {
        double[] t = times(256, 42.0);
        double[] y = along(t, s -> 12.0 - 10.0 * StrictMath.exp(-s / 300.0) - 1.0 * StrictMath.exp(-s / 1500.0));
        ExponentialFit fit = ExponentialFit.twoModes(t, y, ones(256)).orElseThrow();
        assertEquals(12.0, fit.asymptote(), 1e-6);
        assertEquals(300.0, fit.timeConstantSeconds(0), 1e-3);
        assertEquals(1500.0, fit.timeConstantSeconds(1), 1e-2);
        assertEquals(-1.0, fit.amplitude(1), 1e-5);
    }

    @Test
    void findsTheFastDecayBesideAKnownSlowOne() {
        double[] t = times(240, 10.0);
        double[] y = along(t, s -> 12.0 - 10.0 * StrictMath.exp(-s / 300.0) - 0.4 * StrictMath.exp(-s / 1500.0));
        ExponentialFit fit = ExponentialFit.twoModes(t, y, ones(240), 1500.0).orElseThrow();
        assertEquals(12.0, fit.asymptote(), 1e-6);
        assertEquals(300.0, fit.timeConstantSeconds(0), 1e-4);
        assertEquals(-0.4, fit.amplitude(1), 1e-6);
        assertEquals(0.0, fit.timeConstantErrorSeconds(1));
    }

    @Test
    void meanRemainingIsTheMeanOfWhatIsMissing() {
        double[] t = times(240, 10.0);
        DoubleUnaryOperator missing = s -> 10.0 * StrictMath.exp(-s / 300.0) + 0.4 * StrictMath.exp(-s / 1500.0);
        ExponentialFit fit = ExponentialFit.twoModes(
                        t, along(t, s -> 12.0 - missing.applyAsDouble(s)), ones(240), 1500.0)
                .orElseThrow();
        double sum = 0.0;
        for (int i = 0; i < 6_000; i++) {
            sum += missing.applyAsDouble(1_800.0 + (i + 0.5) * 0.1);
        }
        assertEquals(sum / 6_000.0, fit.meanRemaining(START + 1_800.0, START + 2_400.0), 1e-6);
    }

    @Test
    void aRampHasNoDecay() {
        double[] t = times(100, 20.0);
        assertEquals(Optional.empty(), ExponentialFit.oneMode(t, along(t, s -> 8.0 + 0.001 * s), ones(100)));
    }

    @Test
    void statedErrorsAreThoseSeenOverManyRepetitions() {
        long seed = 31;
        Random random = new Random(seed);
        int repetitions = Simulated.repetitions(100);
        double[] t = times(200, 10.0);
        double[] tau = new double[repetitions];
        double[] remaining = new double[repetitions];
        double tauStated = 0.0;
        double remainingStated = 0.0;
        for (int r = 0; r < repetitions; r++) {
            double[] e = Simulated.noise(random, 200, 0.05, 0.5);
            double[] y = along(t, s -> 12.0 - 10.0 * StrictMath.exp(-s / 400.0));
            for (int i = 0; i < y.length; i++) {
                y[i] += e[i];
            }
            ExponentialFit fit = ExponentialFit.oneMode(t, y, ones(200)).orElseThrow();
            tau[r] = fit.timeConstantSeconds(0);
            remaining[r] = fit.meanRemaining(START + 1_000.0, START + 1_400.0);
            tauStated += StrictMath.pow(fit.timeConstantErrorSeconds(0), 2) / repetitions;
            remainingStated +=
                    StrictMath.pow(fit.meanRemainingError(START + 1_000.0, START + 1_400.0), 2) / repetitions;
        }
        // the spread of 100 values is known to 7 %; three times that
        assertEquals(1.0, Series.standardDeviation(tau) / StrictMath.sqrt(tauStated), 0.21, "seed " + seed);
        assertEquals(1.0, Series.standardDeviation(remaining) / StrictMath.sqrt(remainingStated), 0.21, "seed " + seed);
        assertEquals(400.0, Series.mean(tau), 1.0, "seed " + seed);
    }

    @Test
    void refusesTooFewValues() {
        double[] t = times(3, 1.0);
        assertThrows(IllegalArgumentException.class, () -> ExponentialFit.oneMode(t, ones(3), ones(3)));
        assertThrows(IllegalArgumentException.class, () -> ExponentialFit.oneMode(t, ones(5), ones(5)));
    }
}
