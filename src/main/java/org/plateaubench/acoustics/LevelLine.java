package org.plateaubench.acoustics;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.function.DoublePredicate;
import org.apache.commons.math3.distribution.FDistribution;
import org.apache.commons.math3.distribution.TDistribution;

/**
 * The fans' own level over their speed, {@code Ls = a + b lg(N/N0) + c lg²(N/N0)}, by a fit of total and background levels
 * as energies, and the speeds of equal noise that follow from it. The fan laws put b near 50 (ANSI/AMCA 301).
 *
 * <p><b>Background.</b> It is straight within each bracket, its ends being parameters; a listen that two brackets share is
 * one parameter. So the own energy of a bracket is total less background between its ends, and the brackets' errors are
 * correlated where they share a listen.
 *
 * <p><b>Noise.</b> A mean varies as its energy squared over its time. How much, is learnt from the backgrounds: from the
 * second differences of their change within brackets, so that a drift does not count as noise; and from the residuals of
 * the line, both pooled. Where the residuals say much more (F test, 1 %), the line itself is not good, and they alone
 * count. No mean is taken to be better than 0.02 dB.
 *
 * <p><b>Shape.</b> A curvature, or the leaving out of a speed that sticks out by more than 1 dB (a resonance), is accepted
 * where it explains more than noise would (t test, 1 %, for a resonance 1 % over all speeds); the better of the two first.
 *
 * <p><b>Intervals</b> of speeds are those at which a line forced through the wanted level fits not much worse (profile of
 * the sum of squares, Student's t at 95 %). They are not symmetric close to the background, where they must not be.
 */
public final class LevelLine {

    private static final double PROBABILITY = 0.95;
    private static final double ERROR_PROBABILITY = 0.01;
    private static final double RESONANCE_DB = 1.0;
    private static final int FEWEST_SPEEDS = 3;

    /** How many brackets there must be for a curvature or a resonance to be looked for. */
    private static final int FEWEST_TO_CHOOSE = 5;

    private static final int REWEIGHTINGS = 4;
    private static final double FAN_LAW_SLOPE = 5.0;

    /** How far beside the estimate an end of an interval is sought, as a logarithm: a factor of three. */
    private static final double FARTHEST = StrictMath.log(3.0);

    /** A speed is held within 1 % of the one that was asked for. */
    private static final double TRIMMED = 1.01;

    private static final double FIRST_SIDESTEP = 0.01;
    private static final int HALVINGS = 20;

    private final Brackets brackets;
    private final double referenceRpm;
    private final Shape shape;
    private final List<Resonance> resonances;
    private final boolean good;
    private final double scale;
    private final double degreesOfFreedom;

    /** Some of the brackets, with or without a curvature, and their fit. */
    private record Shape(int[] active, boolean curved, double[] x, EnergyFit fit, EnergyFit.Result result) {
        int freedom() {
            return active.length - (curved ? 3 : 2);
        }
    }

    private LevelLine(Brackets brackets, double referenceRpm, Shape line) {
        this.brackets = brackets;
        this.referenceRpm = referenceRpm;
        List<Resonance> found = new ArrayList<>();
        shape = bestShape(line, found);
        found.sort(Comparator.comparingDouble(Resonance::rpm));
        resonances = List.copyOf(found);
        double squares = shape.result().squares();
        good = squares == 0.0
                || 1.0
                                - new FDistribution(null, shape.freedom(), brackets.noiseFreedom())
                                        .cumulativeProbability(squares / shape.freedom())
                        > ERROR_PROBABILITY;
        degreesOfFreedom = good ? pooledFreedom(shape) : shape.freedom();
        scale = good ? pooledScale(shape) : squares / shape.freedom();
    }

    /**
     * Fits a line.
     *
     * @param given brackets of one night, at three speeds or more
     * @return the line; empty if the fans were not heard above the background
     * @throws IllegalArgumentException if there are fewer than three speeds
     */
    public static Optional<LevelLine> fit(List<Bracket> given) {
        double[] speeds = given.stream().mapToDouble(Bracket::rpm).distinct().toArray();
        if (speeds.length < FEWEST_SPEEDS) {
            throw new IllegalArgumentException(
                    "a level line needs brackets at three speeds or more, found " + speeds.length);
        }
        double reference = StrictMath.exp(
                Arrays.stream(speeds).map(StrictMath::log).average().orElseThrow());
        Brackets brackets = new Brackets(given);
        double weighted = 0.0;
        double weights = 0.0;
        for (int i = 0; i < brackets.count(); i++) {
            double byFanLaw = StrictMath.pow(brackets.rpm(i) / reference, FAN_LAW_SLOPE);
            weighted += brackets.ownEnergy(i) * byFanLaw;
            weights += byFanLaw * byFanLaw;
        }
        if (weighted <= 0.0) {
            return Optional.empty();
        }
        EnergyFit.Result start =
                new EnergyFit.Result(StrictMath.log(weighted / weights), FAN_LAW_SLOPE, 0.0, 1.0, 0.0, null);
        int[] everyone = new int[brackets.count()];
        Arrays.setAll(everyone, i -> i);
        return Optional.of(new LevelLine(brackets, reference, shape(brackets, reference, everyone, false, start)));
    }

    private static Shape shape(
            Brackets brackets, double referenceRpm, int[] active, boolean curved, EnergyFit.Result start) {
        double[] x = new double[active.length];
        double[] measured = new double[active.length + 1];
        for (int i = 0; i < active.length; i++) {
            x[i] = StrictMath.log(brackets.rpm(active[i]) / referenceRpm);
            measured[i] = brackets.ownEnergy(active[i]);
        }
        measured[active.length] = 1.0;
        EnergyFit fit = null;
        EnergyFit.Result result = start;
        for (int i = 0; i < REWEIGHTINGS; i++) {
            double[] expected = Arrays.stream(x).map(result::ownEnergy).toArray();
            fit = new EnergyFit(measured, brackets.covariance(active, expected));
            result = fit.fit(x, curved, EnergyFit.Tie.FREE, 0.0, result);
        }
        return new Shape(active, curved, x, fit, result);
    }

    /** Bends the line or leaves speeds out as long as that explains more than noise would. */
    private Shape bestShape(Shape line, List<Resonance> found) {
        Shape best = line;
        while (best.active().length >= FEWEST_TO_CHOOSE) {
            Shape chosen = null;
            Resonance resonance = null;
            double smallest = ERROR_PROBABILITY;
            if (!best.curved()) {
                Shape curved = shape(brackets, referenceRpm, best.active(), true, best.result());
                double p = byChance(best, curved);
                if (p < smallest) {
                    smallest = p;
                    chosen = curved;
                }
            }
            for (int left : best.active()) {
                int[] others =
                        Arrays.stream(best.active()).filter(i -> i != left).toArray();
                Shape without = shape(brackets, referenceRpm, others, best.curved(), best.result());
                double p = byChance(best, without) * best.active().length;
                Resonance sticking = new Resonance(brackets.rpm(left), aboveLine(without, left));
                if (p < smallest && StrictMath.abs(sticking.aboveLineDb()) > RESONANCE_DB) {
                    smallest = p;
                    chosen = without;
                    resonance = sticking;
                }
            }
            if (chosen == null) {
                return best;
            }
            if (resonance != null) {
                found.add(resonance);
            }
            best = chosen;
        }
        return best;
    }

    /** Own level of a bracket over the line's; as far below it as 20 dB where nothing was heard. */
    private double aboveLine(Shape line, int bracket) {
        double expected = line.result().ownEnergy(x(brackets.rpm(bracket)));
        return Levels.levelDb(StrictMath.max(brackets.ownEnergy(bracket) / expected, 0.01));
    }

    /** Probability that one more parameter lowers the sum of squares so much by chance. */
    private double byChance(Shape simple, Shape richer) {
        double gain =
                StrictMath.max(0.0, simple.result().squares() - richer.result().squares());
        double t = StrictMath.sqrt(gain / pooledScale(richer));
        return 2.0 * new TDistribution(null, pooledFreedom(richer)).cumulativeProbability(-t);
    }

    private double pooledFreedom(Shape s) {
        return brackets.noiseFreedom() + s.freedom();
    }

    /** Factor of the covariance, from backgrounds (for which it is 1) and residuals together. */
    private double pooledScale(Shape s) {
        return (brackets.noiseFreedom() + s.result().squares()) / pooledFreedom(s);
    }

    private double x(double rpm) {
        return StrictMath.log(rpm / referenceRpm);
    }

    /** {@return the speed N0 of the line, the geometric mean of the speeds listened to, rpm} */
    public double referenceRpm() {
        return referenceRpm;
    }

    /** {@return the slope b at N0, dB a decade of speed} */
    public double slopeDbPerDecade() {
        return 10.0 * shape.result().beta();
    }

    /** {@return half-width of the 95 % interval of the slope, dB a decade} */
    public double slopeExpandedDbPerDecade() {
        return 10.0 * factor() * StrictMath.sqrt(scale * shape.result().covariance()[1][1]);
    }

    /** {@return the curvature c, dB a decade squared; 0 where the residuals did not ask for one} */
    public double curvatureDbPerDecadeSquared() {
        return 10.0 * shape.result().gamma() * StrictMath.log(10.0);
    }

    /** {@return speeds that stick out and are not in the line, in order of speed} */
    public List<Resonance> resonances() {
        return resonances;
    }

    /** {@return false if the levels lie farther from the line than noise explains; its intervals are wider for it} */
    public boolean good() {
        return good;
    }

    /** {@return mean background of the night's brackets, dB} */
    public double backgroundDb() {
        return Levels.levelDb(brackets.unitEnergy());
    }

    /**
     * The own level on the line.
     *
     * @param rpm speed, rpm; above 0
     * @return own level, dB
     */
    public double ownLevelDb(double rpm) {
        return Levels.levelDb(shape.result().ownEnergy(x(rpm)) * brackets.unitEnergy());
    }

    /**
     * Half-width of the 95 % interval of the own level on the line.
     *
     * @param rpm speed, rpm; above 0
     * @return half-width, dB
     */
    public double ownLevelExpandedDb(double rpm) {
        return factor() * StrictMath.sqrt(scale * logVariance(x(rpm))) / Levels.NATURAL;
    }

    /** Variance of the logarithm of the own energy on the line, before scaling. */
    private double logVariance(double x) {
        double[] gradient = shape.curved() ? new double[] {1.0, x, x * x, 0.0} : new double[] {1.0, x, 0.0};
        double variance = 0.0;
        for (int i = 0; i < gradient.length; i++) {
            for (int j = 0; j < gradient.length; j++) {
                variance += gradient[i] * shape.result().covariance()[i][j] * gradient[j];
            }
        }
        return variance;
    }

    private double factor() {
        return new TDistribution(null, degreesOfFreedom).inverseCumulativeProbability(0.5 + PROBABILITY / 2.0);
    }

    /**
     * The speed at which the fans have an own level: equal noise across nights.
     *
     * @param ownLevelDb own level, finite, dB
     * @return the speed; empty if the line does not rise to that level
     */
    public Optional<MatchedSpeed> forOwnLevel(double ownLevelDb) {
        double target = StrictMath.log(Levels.energy(ownLevelDb) / brackets.unitEnergy());
        return match(EnergyFit.Tie.OWN_ENERGY, target, target);
    }

    /**
     * The speed at which the total is so much above the mean background of these brackets. It moves with the background.
     *
     * @param gapDb total less background, above 0, dB
     * @return the speed; empty if the line does not rise to that level
     * @throws IllegalArgumentException if the gap is not above 0
     */
    public Optional<MatchedSpeed> forGap(double gapDb) {
        if (!(gapDb > 0.0)) {
            throw new IllegalArgumentException(
                    "fans can only be louder than no fans, asked for a gap of " + gapDb + " dB");
        }
        double ratio = StrictMath.log(StrictMath.expm1(gapDb * Levels.NATURAL));
        return match(
                EnergyFit.Tie.OVER_BACKGROUND,
                ratio,
                ratio + StrictMath.log(shape.result().background()));
    }

    private Optional<MatchedSpeed> match(EnergyFit.Tie tie, double logTied, double target) {
        EnergyFit.Result line = shape.result();
        double above = target - line.alpha();
        double steepness = line.beta() + StrictMath.sqrt(line.beta() * line.beta() + 4.0 * line.gamma() * above);
        if (!(steepness > 0.0)) {
            return Optional.empty();
        }
        double x = 2.0 * above / steepness;
        double limit = Brackets.square(factor()) * scale;
        DoublePredicate outside = candidate -> tied(tie, logTied, candidate).squares() - line.squares() > limit;
        double rpm = referenceRpm * StrictMath.exp(x);
        return Optional.of(new MatchedSpeed(
                rpm,
                referenceRpm * StrictMath.exp(end(outside, x, -1.0)),
                referenceRpm * StrictMath.exp(end(outside, x, 1.0)),
                ownLevelDb(rpm),
                extrapolates(rpm),
                resonances.stream().anyMatch(r -> isNeighbour(r.rpm(), rpm))));
    }

    /**
     * Tells whether a speed lies outside those that the line was fitted to.
     *
     * @param rpm speed, rpm
     * @return true if no speed that was listened to is as low, or none as high, within the 1 % that speeds are trimmed to
     */
    public boolean extrapolates(double rpm) {
        return Arrays.stream(shape.active()).noneMatch(i -> brackets.rpm(i) <= rpm * TRIMMED)
                || Arrays.stream(shape.active()).noneMatch(i -> brackets.rpm(i) * TRIMMED >= rpm);
    }

    /** The line forced through a level at one speed. */
    private EnergyFit.Result tied(EnergyFit.Tie tie, double logTied, double candidate) {
        EnergyFit.Result line = shape.result();
        double[] x = Arrays.stream(shape.x()).map(v -> v - candidate).toArray();
        EnergyFit.Result start = new EnergyFit.Result(
                0.0, line.beta() + 2.0 * line.gamma() * candidate, line.gamma(), line.background(), 0.0, null);
        return shape.fit().fit(x, shape.curved(), tie, logTied, start);
    }

    /** Where the fit becomes too bad, on one side; infinite if it does not. */
    private static double end(DoublePredicate outside, double from, double side) {
        double inner = from;
        double step = FIRST_SIDESTEP;
        while (!outside.test(from + side * step)) {
            if (step > FARTHEST) {
                return side * Double.POSITIVE_INFINITY;
            }
            inner = from + side * step;
            step *= 2.0;
        }
        double outer = from + side * step;
        for (int i = 0; i < HALVINGS; i++) {
            double middle = 0.5 * (inner + outer);
            if (outside.test(middle)) {
                outer = middle;
            } else {
                inner = middle;
            }
        }
        return outer;
    }

    /** Whether no other speed that was listened to lies between two speeds. */
    private boolean isNeighbour(double resonanceRpm, double rpm) {
        double low = StrictMath.min(resonanceRpm, rpm);
        double high = StrictMath.max(resonanceRpm, rpm);
        for (int i = 0; i < brackets.count(); i++) {
            if (brackets.rpm(i) > low && brackets.rpm(i) < high) {
                return false;
            }
        }
        return true;
    }

    /**
     * Checks a matched speed by a later bracket of the same night.
     *
     * @param bracket the bracket, not among those of the line
     * @return how far it lies from what the line expects
     */
    public Verification verify(Bracket bracket) {
        double unit = brackets.unitEnergy();
        double own = shape.result().ownEnergy(x(bracket.rpm()));
        double before = (1.0 - bracket.afterShare()) * bracket.before().energy() / unit;
        double after = bracket.afterShare() * bracket.after().energy() / unit;
        double background = before + after;
        double expected = background + own;
        double variance = Brackets.square(own) * logVariance(x(bracket.rpm()))
                + (Brackets.square(background) + Brackets.square(own))
                        * brackets.relativeVariance(bracket.fans().countedSeconds())
                + Brackets.square(before)
                        * brackets.relativeVariance(bracket.before().countedSeconds())
                + Brackets.square(after)
                        * brackets.relativeVariance(bracket.after().countedSeconds());
        return new Verification(
                bracket.fans().levelDb() - Levels.levelDb(expected * unit),
                factor() * StrictMath.sqrt(scale * variance) / expected / Levels.NATURAL);
    }
}
