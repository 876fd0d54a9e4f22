package org.plateaubench.equilibrium;

import java.util.Arrays;
import java.util.Optional;

/**
 * The swing of the room's temperature with its heating, found in the ambient as the period whose sine and cosine, beside
 * a straight drift, explain most of it (least-squares periodogram: Lomb 1976).
 *
 * @param periodSeconds period, s
 * @param amplitudeKelvin amplitude of its fundamental, K
 * @param explainedShare share of the variance about the straight drift that the fundamental explains, 0 to 1; a saw-tooth
 *     gives 0.6, one with jitter less
 */
public record HeatingCycle(double periodSeconds, double amplitudeKelvin, double explainedShare) {

    /** Share that must be explained before a cycle counts as found. */
    private static final double EXPLAINED_SHARE = 0.3;

    /** A smaller amplitude is none, K: a loop that was taken 100 s too fast makes 0.35 K/h of it. */
    private static final double LEAST_KELVIN = 0.1;

    /** Periods that a heating has, s: a slower swing is a drift, a faster one is noise. */
    private static final double SHORTEST_SECONDS = 180.0;

    private static final double LONGEST_SECONDS = 1800.0;

    private static final double FEWEST_CYCLES = 3.0;
    private static final double FEWEST_BLOCKS_A_CYCLE = 6.0;
    private static final double STEPS_A_RESOLUTION = 4.0;

    /**
     * Looks for a cycle. The data should hold three to ten periods: one or two hours for a heating that comes on every 10
     * to 15 minutes. In longer data a heating that is not punctual loses its step.
     *
     * @param ambient the ambient, one column
     * @return the cycle; empty where none shows
     */
    public static Optional<HeatingCycle> find(BlockMeans ambient) {
        int n = ambient.size();
        if (n < FEWEST_CYCLES * FEWEST_BLOCKS_A_CYCLE) {
            return Optional.empty();
        }
        double rest = Moments.of(ambient.weights(), ambient.seconds(), ambient.values(0))
                .regression()
                .residualSumOfSquares();
        double readings = Arrays.stream(ambient.weights()).sum();
        if (StrictMath.sqrt(2.0 * rest / readings) < LEAST_KELVIN) {
            return Optional.empty();
        }
        double[] seconds = ambient.seconds();
        double span = seconds[n - 1] - seconds[0];
        double lowest = StrictMath.max(FEWEST_CYCLES / span, 1.0 / LONGEST_SECONDS);
        double highest = StrictMath.min(n / FEWEST_BLOCKS_A_CYCLE / span, 1.0 / SHORTEST_SECONDS);
        double step = 1.0 / (STEPS_A_RESOLUTION * span);
        double frequency = best(ambient, lowest, highest, step);
        if (frequency < lowest + 0.5 * step) {
            return Optional.empty(); // what explains most is slower than any cycle that the data could show
        }
        for (int zoom = 0; zoom < 2; zoom++) {
            frequency = best(ambient, frequency - step, frequency + step, step / 8.0);
            step /= 8.0;
        }
        Moments.Regression with = regression(ambient, frequency);
        double share = 1.0 - with.residualSumOfSquares() / rest;
        double amplitude = StrictMath.hypot(with.coefficients()[1], with.coefficients()[2]);
        if (!(share >= EXPLAINED_SHARE && amplitude >= LEAST_KELVIN)) {
            return Optional.empty();
        }
        return Optional.of(new HeatingCycle(1.0 / frequency, amplitude, share));
    }

    /** The frequency of a comb that leaves the least over. */
    private static double best(BlockMeans ambient, double lowest, double highest, double step) {
        double best = lowest;
        double least = Double.POSITIVE_INFINITY;
        int teeth = (int) StrictMath.round((highest - lowest) / step);
        for (int i = 0; i <= teeth; i++) {
            double frequency = lowest + i * step;
            double rest = regression(ambient, frequency).residualSumOfSquares();
            if (rest < least) {
                least = rest;
                best = frequency;
            }
        }
        return best;
    }

    /** A constant, a straight drift, and cosine and sine of one frequency. */
    private static Moments.Regression regression(BlockMeans ambient, double frequency) {
        double[] seconds = ambient.seconds();
        double[] cosine = new double[seconds.length];
        double[] sine = new double[seconds.length];
        for (int i = 0; i < seconds.length; i++) {
            double angle = 2.0 * StrictMath.PI * frequency * (seconds[i] - seconds[0]);
            cosine[i] = StrictMath.cos(angle);
            sine[i] = StrictMath.sin(angle);
        }
        return Moments.of(ambient.weights(), seconds, cosine, sine, ambient.values(0))
                .regression();
    }
}
