package org.plateaubench.equilibrium;

import java.util.ArrayDeque;
import java.util.OptionalDouble;
import java.util.stream.IntStream;
import org.apache.commons.math3.distribution.TDistribution;

/**
 * Decides from a stream of readings whether a temperature rise is flat: the slope b of the least-squares line over the
 * trailing window, and its margin t·se at one-sided 95 %, must keep |b| + t·se below a limit for a stated time.
 *
 * <p><b>Standard error.</b> Readings are correlated, so their scatter about the line says too little. The scatter of
 * batch means is used instead: the window is cut into {@value #BATCHES} batches, the same regression is fitted through
 * their means, and the weighted residuals give the long-run variance of one reading, with as many degrees of freedom as
 * batches less coefficients. Noise must be forgotten within a batch; a window of eight minutes or more has batches of a
 * minute or more. (Batch means: Law, Simulation Modeling and Analysis, chapter 9.)
 *
 * <p><b>Resolution.</b> Where the noise is below half a step of the display, rounding errors are no noise: neighbouring
 * readings share them. There the mean of a batch is never taken to be better than the step over the square root of 12.
 *
 * <p><b>Heating cycle.</b> Where the room's heating swings with a known period, sine and cosine at that period join the
 * regression. This widens the margin, the more the shorter the window is against the period.
 *
 * <p><b>Remaining rise.</b> A decay with the slow time constant tau that shows the slope b over a window W has
 * {@code b*tau/g} before it, {@code g = 3 e^u (u cosh u - sinh u)/u^3}, {@code u = W/(2 tau)}. The bound puts |b| + t·se
 * for b.
 *
 * <p><b>Gaps.</b> A time between two readings longer than a twentieth of the window, and than 15 s, counts as not
 * covered and breaks the holding time; a window of which less than 80 % is covered is not judged.
 *
 * <p>A reading costs constant time on average, whatever the window. The window is a queue of two stacks of sums that are
 * only ever added, so nothing is lost by subtraction however long it runs. Not safe for use by several threads.
 */
public final class SlopeRule {

    /** Into how many batches the window is cut. */
    static final int BATCHES = 8;

    private static final int FEWEST_FILLED_BATCHES = 6;
    private static final double SHORTEST_GAP_SECONDS = 15.0;
    private static final double COVERED_SHARE = 0.8;
    private static final double SECONDS_PER_HOUR = 3600.0;

    /** One-sided 95 % points of Student's t by degrees of freedom, from 1. */
    private static final double[] STUDENT_T = IntStream.rangeClosed(1, BATCHES)
            .mapToDouble(dof -> new TDistribution(null, dof).inverseCumulativeProbability(0.95))
            .toArray();

    private final double slopeLimitKelvinPerHour;
    private final double windowSeconds;
    private final double forSeconds;
    private final double remainingRiseLimitKelvin;
    private final double remainingRiseSeconds;
    private final double resolutionKelvin;
    private final double gapSeconds;
    private final double batchSeconds;
    private final double cyclePeriodSeconds;
    private final int coefficients;

    private final ArrayDeque<Moments> newer = new ArrayDeque<>();
    private final ArrayDeque<Moments> olderSums = new ArrayDeque<>();
    private Moments newerSum;

    private final ArrayDeque<Moments> batches = new ArrayDeque<>();
    private Moments openBatch;
    private long openBatchNumber;
    private double readingVariance = Double.NaN;
    private int degreesOfFreedom;

    private double firstSeconds = Double.NaN;
    private double lastSeconds = Double.NaN;
    private double heldSince = Double.NaN;
    private Verdict verdict = new Verdict(false, false, Double.NaN, Double.NaN, Double.NaN, 0.0, Double.NaN, 0);

    /**
     * A rule without any reading yet.
     *
     * @param slopeLimitKelvinPerHour limit of |b| + t·se, K/h; above 0
     * @param windowSeconds trailing window of the slope, s; above 0
     * @param forSeconds for how long the limits must hold, s; 0 or more
     * @param remainingRiseKelvin limit of the bound on the remaining rise, K, above 0, if stated; without a slow time
     *     constant there is no bound, and this limit is not applied
     * @param slowTimeConstantSeconds slow time constant of the bench, s, above 0, if it was commissioned
     * @param resolutionKelvin step of the display, K; 0 or more
     * @param cyclePeriodSeconds period of the room's heating cycle, s, above 0, if one was found
     * @throws IllegalArgumentException if a number is out of its range or not finite
     */
    public SlopeRule(
            double slopeLimitKelvinPerHour,
            double windowSeconds,
            double forSeconds,
            OptionalDouble remainingRiseKelvin,
            OptionalDouble slowTimeConstantSeconds,
            double resolutionKelvin,
            OptionalDouble cyclePeriodSeconds) {
        this.slopeLimitKelvinPerHour = positive("slope limit", slopeLimitKelvinPerHour, "K/h");
        this.windowSeconds = positive("window", windowSeconds, "s");
        this.forSeconds = notNegative("holding time", forSeconds, "s");
        this.remainingRiseLimitKelvin = remainingRiseKelvin.isPresent()
                ? positive("remaining-rise limit", remainingRiseKelvin.getAsDouble(), "K")
                : Double.NaN;
        this.remainingRiseSeconds = slowTimeConstantSeconds.isPresent()
                ? remainingRisePerSlope(
                        positive("slow time constant", slowTimeConstantSeconds.getAsDouble(), "s"), windowSeconds)
                : Double.NaN;
        this.resolutionKelvin = notNegative("resolution", resolutionKelvin, "K");
        this.gapSeconds = StrictMath.max(SHORTEST_GAP_SECONDS, windowSeconds / 20.0);
        this.batchSeconds = windowSeconds / BATCHES;
        this.cyclePeriodSeconds =
                cyclePeriodSeconds.isPresent() ? positive("period", cyclePeriodSeconds.getAsDouble(), "s") : Double.NaN;
        this.coefficients = cyclePeriodSeconds.isPresent() ? 4 : 2;
    }

    /**
     * A rule without a heating cycle, otherwise as the other constructor.
     *
     * @param slopeLimitKelvinPerHour limit of |b| + t·se, K/h; above 0
     * @param windowSeconds trailing window of the slope, s; above 0
     * @param forSeconds for how long the limits must hold, s; 0 or more
     * @param remainingRiseKelvin limit of the bound on the remaining rise, K, above 0, if stated
     * @param slowTimeConstantSeconds slow time constant of the bench, s, above 0, if it was commissioned
     * @param resolutionKelvin step of the display, K; 0 or more
     * @throws IllegalArgumentException if a number is out of its range or not finite
     */
    public SlopeRule(
            double slopeLimitKelvinPerHour,
            double windowSeconds,
            double forSeconds,
            OptionalDouble remainingRiseKelvin,
            OptionalDouble slowTimeConstantSeconds,
            double resolutionKelvin) {
        this(
                slopeLimitKelvinPerHour,
                windowSeconds,
                forSeconds,
                remainingRiseKelvin,
                slowTimeConstantSeconds,
                resolutionKelvin,
                OptionalDouble.empty());
    }

    /**
     * Takes one good reading. A bad reading is simply not given.
     *
     * @param seconds when it was read, s; later than the one before
     * @param kelvin the rise, K; finite
     * @throws IllegalArgumentException if the time does not advance or a number is not finite; the rule is unchanged
     */
    public void add(double seconds, double kelvin) {
        Readings.check(lastSeconds, seconds, kelvin);
        if (Double.isNaN(firstSeconds)) {
            firstSeconds = seconds;
        }
        double step = seconds - lastSeconds;
        boolean unbroken = step <= gapSeconds;
        Moments reading = Moments.of(unbroken ? step : 0.0, columns(seconds, kelvin));
        lastSeconds = seconds;
        intoBatch(reading);
        intoWindow(reading);
        judge(unbroken);
    }

    /** {@return what the rule says after the latest reading} */
    public Verdict verdict() {
        return verdict;
    }

    private double[] columns(double seconds, double kelvin) {
        if (coefficients == 2) {
            return new double[] {seconds, kelvin};
        }
        double turns = (seconds - firstSeconds) / cyclePeriodSeconds;
        double angle = 2.0 * StrictMath.PI * (turns - StrictMath.floor(turns));
        return new double[] {seconds, StrictMath.cos(angle), StrictMath.sin(angle), kelvin};
    }

    private void intoWindow(Moments reading) {
        newer.addLast(reading);
        newerSum = newerSum == null ? reading : newerSum.then(reading);
        double from = lastSeconds - windowSeconds;
        while (true) {
            if (olderSums.isEmpty()) {
                if (newer.getFirst().firstSeconds() >= from) {
                    return;
                }
                turnOver();
            }
            if (olderSums.getLast().firstSeconds() >= from) {
                return;
            }
            olderSums.removeLast();
        }
    }

    /** Turns the stack of newer readings over: each older sum holds its reading and all that came after it. */
    private void turnOver() {
        Moments sum = null;
        while (!newer.isEmpty()) {
            Moments reading = newer.removeLast();
            sum = sum == null ? reading : reading.then(sum);
            olderSums.addLast(sum);
        }
        newerSum = null;
    }

    private Moments window() {
        if (olderSums.isEmpty()) {
            return newerSum;
        }
        return newerSum == null ? olderSums.getLast() : olderSums.getLast().then(newerSum);
    }

    private void intoBatch(Moments reading) {
        long number = batchNumber(lastSeconds);
        if (openBatch == null || number == openBatchNumber) {
            openBatch = openBatch == null ? reading : openBatch.then(reading);
        } else {
            batches.addLast(openBatch);
            openBatch = reading;
            while (!batches.isEmpty() && batchNumber(batches.getFirst().firstSeconds()) < number - BATCHES) {
                batches.removeFirst();
            }
            estimateReadingVariance();
        }
        openBatchNumber = number;
    }

    private long batchNumber(double seconds) {
        return (long) StrictMath.floor((seconds - firstSeconds) / batchSeconds);
    }

    /** Long-run variance of one reading, K², from the complete batches of the window. */
    private void estimateReadingVariance() {
        int count = batches.size();
        if (count < FEWEST_FILLED_BATCHES) {
            readingVariance = Double.NaN;
            degreesOfFreedom = 0;
            return;
        }
        Moments all = null;
        double noiseSum = 0.0;
        for (Moments b : batches) {
            all = all == null ? b.collapsed() : all.then(b.collapsed());
            noiseSum += b.squaredDeviations();
        }
        Moments.Regression regression = all.regression();
        double residualSum = 0.0;
        for (Moments b : batches) {
            double residual = regression.residual(b);
            residualSum += b.count() * residual * residual;
        }
        degreesOfFreedom = count - coefficients;
        readingVariance = residualSum / degreesOfFreedom;
        double noiseVariance = all.count() > count ? noiseSum / (all.count() - count) : readingVariance;
        double roundingVariance = resolutionKelvin * resolutionKelvin / 12.0;
        double halfAStepOfNoise = resolutionKelvin * resolutionKelvin / 4.0;
        if (noiseVariance < halfAStepOfNoise + roundingVariance) {
            readingVariance = StrictMath.max(readingVariance, roundingVariance * all.count() / count);
        }
    }

    private void judge(boolean unbroken) {
        Moments window = window();
        boolean windowFull = lastSeconds - firstSeconds >= windowSeconds
                && window.coveredSeconds() >= COVERED_SHARE * windowSeconds
                && degreesOfFreedom > 0;
        Moments.Regression regression = window.regression();
        double slope = regression.slope();
        double standardError = StrictMath.sqrt(readingVariance * regression.slopeVariance());
        double margin = degreesOfFreedom > 0 ? STUDENT_T[degreesOfFreedom - 1] * standardError : Double.NaN;
        double steepest = StrictMath.abs(slope) + margin;
        double remainingRise = steepest * remainingRiseSeconds;
        boolean holds = windowFull
                && steepest * SECONDS_PER_HOUR < slopeLimitKelvinPerHour
                && !(remainingRise >= remainingRiseLimitKelvin);
        if (!holds) {
            heldSince = Double.NaN;
        } else if (Double.isNaN(heldSince) || !unbroken) {
            heldSince = lastSeconds;
        }
        double held = holds ? lastSeconds - heldSince : 0.0;
        verdict = new Verdict(
                holds && held >= forSeconds,
                windowFull,
                slope * SECONDS_PER_HOUR,
                margin * SECONDS_PER_HOUR,
                remainingRise,
                held,
                standardError * SECONDS_PER_HOUR,
                degreesOfFreedom);
    }

    /**
     * How much rise is still to come for each kelvin a second of slope that a window shows, if all of the slope belongs
     * to a decay with one time constant.
     *
     * @param timeConstantSeconds of the decay, s; above 0
     * @param windowSeconds window of the least-squares slope, s; above 0
     * @return tau/g, s; 0 or more, never more than the time constant
     */
    static double remainingRisePerSlope(double timeConstantSeconds, double windowSeconds) {
        double u = windowSeconds / (2.0 * timeConstantSeconds);
        double u2 = u * u;
        // g = 3 e^u (u cosh u - sinh u)/u^3 written without overflow; below 0.1 as a series, which loses no digits
        double g = u < 0.1
                ? StrictMath.exp(u) * (1.0 + u2 / 10.0 * (1.0 + u2 / 28.0 * (1.0 + u2 / 54.0)))
                : 1.5 * ((u - 1.0) * StrictMath.exp(2.0 * u) + u + 1.0) / (u2 * u);
        return timeConstantSeconds / g;
    }

    private static double positive(String what, double value, String unit) {
        if (!Double.isFinite(value) || value <= 0.0) {
            throw new IllegalArgumentException(
                    "a " + what + " must be finite and above 0 " + unit + ", found " + value);
        }
        return value;
    }

    private static double notNegative(String what, double value, String unit) {
        if (!Double.isFinite(value) || value < 0.0) {
            throw new IllegalArgumentException(
                    "a " + what + " must be finite and 0 " + unit + " or more, found " + value);
        }
        return value;
    }
}
