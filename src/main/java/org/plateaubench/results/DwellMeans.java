package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.benchfile.Readout;

/** Averages what was read between the first and the last tick of a dwell. */
final class DwellMeans {

    /** Batches of a minute are long enough that their means are nearly independent; see the slope rule. */
    private static final double BATCH_SECONDS = 60.0;

    private final long fromTick;
    private final long toTick;
    private final Mean coolantRise = new Mean();
    private final Mean cpuRise = new Mean();
    private final Mean ambient = new Mean();
    private final Mean fan = new Mean();
    private final Mean pump = new Mean();
    private final Mean power = new Mean();
    private final List<Double> batchMeans = new ArrayList<>();
    private Mean batch = new Mean();
    private double batchBegunSeconds = Double.NaN;

    DwellMeans(long fromTick, long toTick) {
        this.fromTick = fromTick;
        this.toTick = toTick;
    }

    long fromTick() {
        return fromTick;
    }

    long toTick() {
        return toTick;
    }

    void take(Readout readout, double filteredAmbientCelsius) {
        long tick = readout.sample().tick();
        if (tick < fromTick || tick > toTick) {
            return;
        }
        double ambientCelsius = readout.ambientCelsius();
        ambient.add(ambientCelsius);
        fan.add(readout.fanRpm());
        pump.add(readout.pumpRpm());
        power.add(readout.powerWatts());
        if (Double.isNaN(ambientCelsius)) {
            return;
        }
        double rise = readout.coolantCelsius() - filteredAmbientCelsius;
        coolantRise.add(rise);
        cpuRise.add(readout.cpuCelsius() - filteredAmbientCelsius);
        if (Double.isNaN(batchBegunSeconds)) {
            batchBegunSeconds = readout.seconds();
        }
        if (readout.seconds() - batchBegunSeconds >= BATCH_SECONDS && batch.count() > 0) {
            batchMeans.add(batch.value());
            batch = new Mean();
            batchBegunSeconds = readout.seconds();
        }
        batch.add(rise);
    }

    PassResult.Dwell result() {
        double rise = coolantRise.value();
        return new PassResult.Dwell(
                coolantRise.count(),
                rise,
                cpuRise.value(),
                ambient.value(),
                fan.value(),
                pump.value(),
                power.value(),
                rise / power.value(),
                meanStandardError());
    }

    private double meanStandardError() {
        int n = batchMeans.size();
        if (n < 2) {
            return Double.NaN;
        }
        double mean = batchMeans.stream().mapToDouble(Double::doubleValue).sum() / n;
        double squares =
                batchMeans.stream().mapToDouble(m -> (m - mean) * (m - mean)).sum();
        return StrictMath.sqrt(squares / (n - 1) / n);
    }

    /** A running mean that passes over what is not a number. */
    private static final class Mean {
        private double sum;
        private long count;

        void add(double value) {
            if (!Double.isNaN(value)) {
                sum += value;
                count++;
            }
        }

        long count() {
            return count;
        }

        double value() {
            return count == 0 ? Double.NaN : sum / count;
        }
    }
}
