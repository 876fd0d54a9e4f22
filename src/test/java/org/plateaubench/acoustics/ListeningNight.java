package org.plateaubench.acoustics;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.uncertainty.SplitMix64;

/**
 * A seeded night of listening whose truth is known: background with correlated noise, slow drift and gusts, fans on a level
 * line, a meter that reads blocks of a second to 0.1 dB. It shares no code with the analysis.
 */
final class ListeningNight {

    /** What the night is like; the usual night can be varied. */
    static final class Conditions {
        double[] speeds = {700, 900, 1100, 1300, 1500, 1700, 1900};
        int listenSeconds = 120;
        /** Own level re background at 1200 rpm and the slope; the values put 0.4 dB at 1200 and 1.6 dB at 1600 rpm. */
        double ownAt1200Db = -10.155;

        double slopeDbPerDecade = 53.17;
        double curvatureDbPerDecadeSquared = 0.0;
        double resonanceRpm = Double.NaN;
        double resonanceDb = 0.0;
        double backgroundNoiseDb = 0.33;
        double backgroundCorrelation = 0.8;
        double fanNoiseDb = 0.2;
        double fanCorrelation = 0.5;
        double driftDb = 0.5;
        double gustsPerHour = 20.0;
        double gustDb = 4.0;
        boolean sharedBackgrounds = false;
    }

    private static final double BACKGROUND_DB = 22.0;
    private static final int PAUSE_SECONDS = 20;

    final List<Bracket> brackets = new ArrayList<>();
    private final Conditions conditions;
    private double trueBackgroundEnergy;
    private int backgroundListens;

    ListeningNight(Conditions c, SplitMix64 random) {
        conditions = c;
        int background = c.listenSeconds / 2;
        int length = c.speeds.length * (2 * background + c.listenSeconds + 3 * PAUSE_SECONDS) + 1;
        double[] drift = new double[length];
        double[] level = new double[length];
        double[] fans = noise(length, c.fanNoiseDb, c.fanCorrelation, random);
        double[] noise = noise(length, c.backgroundNoiseDb, c.backgroundCorrelation, random);
        double[] gusts = gusts(length, c, random);
        double wave = c.driftDb * random.nextDouble();
        double phase = 2.0 * StrictMath.PI * random.nextDouble();
        double perHour = c.driftDb * (2.0 * random.nextDouble() - 1.0);
        for (int t = 0; t < length; t++) {
            drift[t] = BACKGROUND_DB
                    + wave * StrictMath.sin(2.0 * StrictMath.PI * t / 5400.0 + phase)
                    + perHour * t / 3600.0;
            level[t] = drift[t] + noise[t] + gusts[t];
        }
        double[] order = shuffled(c.speeds, random);
        int at = 0;
        Listen before = null;
        for (double rpm : order) {
            if (before == null || !c.sharedBackgrounds) {
                before = listen(at, background, level, null, 0.0);
                countBackground(drift, at, background);
                at += background + PAUSE_SECONDS;
            }
            Listen during = listen(at, c.listenSeconds, level, fans, ownEnergy(rpm));
            at += c.listenSeconds + PAUSE_SECONDS;
            Listen after = listen(at, background, level, null, 0.0);
            countBackground(drift, at, background);
            at += background + PAUSE_SECONDS;
            if (before.usable() && during.usable() && after.usable()) {
                brackets.add(new Bracket(rpm, before, during, after));
            }
            before = after;
        }
    }

    /** The noise is symmetric in dB, so the energy mean lies above its middle. */
    private double energyOfNoise(double deviationDb) {
        double natural = deviationDb * StrictMath.log(10.0) / 10.0;
        return StrictMath.exp(natural * natural / 2.0);
    }

    private void countBackground(double[] drift, int from, int seconds) {
        double sum = 0.0;
        for (int t = from; t < from + seconds; t++) {
            sum += StrictMath.pow(10.0, drift[t] / 10.0);
        }
        trueBackgroundEnergy += sum / seconds * energyOfNoise(conditions.backgroundNoiseDb);
        backgroundListens++;
    }

    private Listen listen(int from, int seconds, double[] level, double[] fans, double ownEnergy) {
        double[] blocks = new double[seconds];
        for (int i = 0; i < seconds; i++) {
            double energy = StrictMath.pow(10.0, level[from + i] / 10.0);
            if (fans != null) {
                energy +=
                        ownEnergy * StrictMath.pow(10.0, fans[from + i] / 10.0) / energyOfNoise(conditions.fanNoiseDb);
            }
            blocks[i] = StrictMath.rint(100.0 * StrictMath.log10(energy)) / 10.0;
        }
        return Listen.of(from, 1.0, blocks, GustRule.USUAL);
    }

    /** True own energy at a speed. */
    private double ownEnergy(double rpm) {
        return StrictMath.pow(10.0, ownLevelDb(rpm) / 10.0);
    }

    double ownLevelDb(double rpm) {
        double decades = StrictMath.log10(rpm / 1200.0);
        double resonance = rpm == conditions.resonanceRpm ? conditions.resonanceDb : 0.0;
        return BACKGROUND_DB
                + conditions.ownAt1200Db
                + conditions.slopeDbPerDecade * decades
                + conditions.curvatureDbPerDecadeSquared * decades * decades
                + resonance;
    }

    /** The true speed of an own level, between 200 and 6000 rpm. */
    double speedForOwnLevel(double ownLevelDb) {
        double low = 200.0;
        double high = 6000.0;
        for (int i = 0; i < 60; i++) {
            double middle = 0.5 * (low + high);
            if (ownLevelDb(middle) < ownLevelDb) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }

    /** The true speed of a gap above the true mean background of the listens. */
    double speedForGap(double gapDb) {
        double backgroundDb = 10.0 * StrictMath.log10(trueBackgroundEnergy / backgroundListens);
        return speedForOwnLevel(backgroundDb + 10.0 * StrictMath.log10(StrictMath.pow(10.0, gapDb / 10.0) - 1.0));
    }

    private static double[] noise(int length, double deviation, double correlation, SplitMix64 random) {
        double[] noise = new double[length];
        double x = random.nextGaussian();
        for (int t = 0; t < length; t++) {
            noise[t] = deviation * x;
            x = correlation * x + StrictMath.sqrt(1.0 - correlation * correlation) * random.nextGaussian();
        }
        return noise;
    }

    private static double[] gusts(int length, Conditions c, SplitMix64 random) {
        double[] gusts = new double[length];
        double wait = 0.0;
        while (true) {
            wait -= StrictMath.log(random.nextDouble()) * 3600.0 / c.gustsPerHour;
            if (!(wait < length)) {
                return gusts;
            }
            double height = -c.gustDb * StrictMath.log(random.nextDouble());
            double width = 1.0 + 3.0 * random.nextDouble();
            int middle = (int) wait;
            for (int t = StrictMath.max(0, middle - 20); t < StrictMath.min(length, middle + 20); t++) {
                double u = (t - middle) / width;
                gusts[t] = StrictMath.max(gusts[t], height * StrictMath.exp(-0.5 * u * u));
            }
        }
    }

    private static double[] shuffled(double[] speeds, SplitMix64 random) {
        double[] order = speeds.clone();
        for (int i = order.length - 1; i > 0; i--) {
            int k = (int) (random.nextDouble() * (i + 1));
            double kept = order[i];
            order[i] = order[k];
            order[k] = kept;
        }
        return order;
    }
}
