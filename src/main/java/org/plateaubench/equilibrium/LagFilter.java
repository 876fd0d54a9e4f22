package org.plateaubench.equilibrium;

/**
 * A first-order lag: what a body with one time constant makes of a temperature that acts on it. Ambient passed through
 * the loop's own lag can be subtracted from the coolant without the room's changes showing up as changes of the rise.
 *
 * <p>The input is taken as straight between two values, for which the step is exact whatever its length:
 * {@code y1 = y0 + (1 - a)(x0 - y0) + (1 - k)(x1 - x0)} with {@code a = exp(-dt/tau)}, {@code k = (1 - a) tau/dt}.
 *
 * <p>A probe that lags by itself has done part of the work: the output is then what the loop makes of the temperature
 * that the probe answers to, {@code (1 + s theta)/(1 + s tau)}, a share theta/tau of the input and the rest lagged.
 */
public final class LagFilter {

    private final double timeConstantSeconds;
    private final double directShare;
    private double seconds = Double.NaN;
    private double input = Double.NaN;
    private double lagged = Double.NaN;

    /** Readings come evenly: the shares of a step hold for the next one too. */
    private double stepSeconds = Double.NaN;

    private double forgotten;
    private double taken;

    /**
     * An empty filter; its first value starts it as if that value had always been there.
     *
     * @param timeConstantSeconds time constant, s; finite, 0 or more, where 0 passes every value on unchanged
     * @param probeLagSeconds time constant of the probe that reads the input, s; 0 or more, at most the time constant
     * @throws IllegalArgumentException if a time constant is out of its range or NaN
     */
    public LagFilter(double timeConstantSeconds, double probeLagSeconds) {
        if (!Double.isFinite(timeConstantSeconds)
                || timeConstantSeconds < 0.0
                || !(probeLagSeconds >= 0.0 && probeLagSeconds <= timeConstantSeconds)) {
            throw new IllegalArgumentException("a time constant must be finite and 0 s or more, the probe's no longer"
                    + " than the loop's; found " + timeConstantSeconds + " s, probe " + probeLagSeconds + " s");
        }
        this.timeConstantSeconds = timeConstantSeconds;
        this.directShare = timeConstantSeconds == 0.0 ? 1.0 : probeLagSeconds / timeConstantSeconds;
    }

    /**
     * An empty filter for a probe without a lag worth the name.
     *
     * @param timeConstantSeconds time constant, s; finite, 0 or more
     * @throws IllegalArgumentException if the time constant is negative or not finite
     */
    public LagFilter(double timeConstantSeconds) {
        this(timeConstantSeconds, 0.0);
    }

    /**
     * Takes one value.
     *
     * @param seconds when it was read, s; later than the one before
     * @param value the value; finite
     * @return the lagged value at that time
     * @throws IllegalArgumentException if the time does not advance or the value is not finite; the filter is unchanged
     */
    public double add(double seconds, double value) {
        Readings.check(this.seconds, seconds, value);
        if (Double.isNaN(lagged) || directShare == 1.0) {
            lagged = value;
        } else {
            prepare(seconds - this.seconds);
            lagged += forgotten * (input - lagged) + taken * (value - input);
        }
        this.seconds = seconds;
        input = value;
        return value();
    }

    private void prepare(double nextStepSeconds) {
        if (nextStepSeconds != stepSeconds) {
            stepSeconds = nextStepSeconds;
            double step = stepSeconds / timeConstantSeconds;
            forgotten = -StrictMath.expm1(-step);
            taken = 1.0 - forgotten / step;
        }
    }

    /** {@return the lagged value at the time of the last value taken; NaN before the first} */
    public double value() {
        return lagged + directShare * (input - lagged);
    }
}
