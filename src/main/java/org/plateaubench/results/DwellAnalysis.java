package org.plateaubench.results;

import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.equilibrium.BlockMeans;
import org.plateaubench.equilibrium.Settling;

/**
 * What the samples of one pass or baseline say: means over its dwell, and how far from equilibrium they were. The
 * ambient is filtered by the time constant that the approach of this very pass shows, since it goes with the fans'
 * speed.
 */
final class DwellAnalysis {

    /** Batches of a minute are long enough that their means are nearly independent; see the slope rule. */
    private static final double BATCH_SECONDS = 60.0;

    /** The first response of a loop to heat is no exponential: it is left out of the fit. */
    static final double FIRST_RESPONSE_SECONDS = 60.0;

    /** The fit and the filter share a time constant: so often the one is fitted with the other. */
    private static final int ROUNDS = 3;

    /** A fitted time constant is used where its standard error is below this share of it. */
    private static final double WELL_KNOWN = 0.1;

    private final NightColumns night;
    private final BenchFile bench;
    private final int soakFrom;
    private final int from;
    private final int to;
    /** First row at which the loop answers to heat or speed as it will go on. */
    private final int answersFrom;

    private double[] filteredAmbient;
    private double[] relativePower;
    private Settling settling;
    private double timeConstantSeconds;

    private DwellAnalysis(NightColumns night, BenchFile bench, long soakFromTick, long fromTick, long toTick) {
        this.night = night;
        this.bench = bench;
        this.soakFrom = night.rowOf(soakFromTick);
        this.from = night.rowOf(fromTick);
        this.to = night.rowOf(toTick + 1);
        this.answersFrom = night.rowAt(night.seconds(soakFrom) + FIRST_RESPONSE_SECONDS, soakFrom, to);
        timeConstantSeconds = bench.loopTimeConstantSeconds();
    }

    /**
     * Analyses a pass.
     *
     * @param night its night
     * @param bench the bench file
     * @param soakFromTick first tick of its soak
     * @param fromTick first tick of its dwell
     * @param toTick last tick of its dwell
     * @return its dwell
     */
    static PassResult.Dwell of(NightColumns night, BenchFile bench, long soakFromTick, long fromTick, long toTick) {
        DwellAnalysis analysis = new DwellAnalysis(night, bench, soakFromTick, fromTick, toTick);
        analysis.settle();
        return analysis.result();
    }

    private void settle() {
        for (int round = 0; round < ROUNDS; round++) {
            filteredAmbient = night.filteredAmbient(
                    timeConstantSeconds, StrictMath.min(bench.probeLagSeconds(), timeConstantSeconds), to);
            relativePower = night.relativePower(timeConstantSeconds, answersFrom, to);
            settling = fit(bench.slowTimeConstantSeconds());
            if (!(settling instanceof Settling.Approach approach)
                    || !(approach.timeConstantErrorSeconds() < WELL_KNOWN * approach.timeConstantSeconds())) {
                return;
            }
            timeConstantSeconds = approach.timeConstantSeconds();
        }
    }

    private Settling fit(OptionalDouble slowTimeConstantSeconds) {
        BlockMeans rise = new BlockMeans(1);
        double steadyKelvin = steadyKelvin();
        for (int row = answersFrom; row < to; row++) {
            double value = night.coolant(row) - filteredAmbient[row] - steadyKelvin * (relativePower[row] - 1.0);
            if (!Double.isNaN(value)) {
                rise.add(night.seconds(row), value);
            }
        }
        if (rise.size() < Settling.LEAST_BLOCKS) {
            return drift(rise);
        }
        return Settling.of(rise, night.seconds(from), night.seconds(to - 1), slowTimeConstantSeconds);
    }

    /** About what the rise will be: what a share more heat adds to it. */
    private double steadyKelvin() {
        Mean rise = new Mean();
        for (int row = from; row < to; row++) {
            rise.add(night.coolant(row) - filteredAmbient[row]);
        }
        return rise.value();
    }

    /** A soak this short shows no approach: nothing is corrected, and all that can be said is how it goes. */
    private static Settling drift(BlockMeans rise) {
        int last = rise.size() - 1;
        return new Settling.Drift(
                last < 1
                        ? 0.0
                        : (rise.values(0)[last] - rise.values(0)[0])
                                / (rise.seconds()[last] - rise.seconds()[0])
                                * 3600.0);
    }

    private PassResult.Dwell result() {
        Mean coolantRise = new Mean();
        Mean cpuRise = new Mean();
        Mean ambient = new Mean();
        Mean fan = new Mean();
        Mean pump = new Mean();
        Mean power = new Mean();
        double meanPower = night.meanPower(answersFrom, to);
        for (int row = from; row < to; row++) {
            ambient.add(night.ambient(row));
            fan.add(night.fan(row));
            pump.add(night.pump(row));
            power.add(relativePower[row] * meanPower);
            coolantRise.add(night.coolant(row) - filteredAmbient[row]);
            cpuRise.add(night.cpu(row) - filteredAmbient[row]);
        }
        return new PassResult.Dwell(
                coolantRise.count(),
                coolantRise.value(),
                cpuRise.value(),
                ambient.value(),
                fan.value(),
                pump.value(),
                power.value(),
                coolantRise.value() / power.value(),
                meanStandardError(),
                settling,
                timeConstantSeconds);
    }

    /** Standard error of the mean rise from the scatter of batch means; NaN for fewer than two. */
    private double meanStandardError() {
        Mean batches = new Mean();
        Mean batch = new Mean();
        double begun = night.seconds(from);
        for (int row = from; row < to; row++) {
            if (night.seconds(row) - begun >= BATCH_SECONDS) {
                batches.add(batch.value());
                batch = new Mean();
                begun = night.seconds(row);
            }
            batch.add(night.coolant(row) - filteredAmbient[row]);
        }
        return batches.standardError();
    }

    /** A running mean that passes over what is not a number. */
    private static final class Mean {
        private long count;
        private double mean;
        private double squares;

        void add(double value) {
            if (!Double.isNaN(value)) {
                count++;
                double step = value - mean;
                mean += step / count;
                squares += step * (value - mean);
            }
        }

        long count() {
            return count;
        }

        double value() {
            return count == 0 ? Double.NaN : mean;
        }

        double standardError() {
            return count < 2 ? Double.NaN : StrictMath.sqrt(squares / (count - 1) / count);
        }
    }
}
