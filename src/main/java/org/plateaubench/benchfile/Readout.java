package org.plateaubench.benchfile;

import java.util.Arrays;
import java.util.List;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.TickReadings;

/**
 * A sample in corrected values: indicated value plus the bench file's correction, in the base unit of the channel's
 * dimension; NaN where the reading is not good. Engine and results both see samples through it.
 */
public final class Readout {

    /** Finds the columns of a bench file once, so that each sample is only looked up. */
    public static final class Columns {
        private final double[] corrections;
        private final double[] toBase;
        private final int[] ambient;
        private final double[] ambientWeights;
        private final int[] coolant;
        private final int[] fans;
        private final int pump;
        private final int cpu;
        private final int power;
        private final int pumpDuty;
        private final int supply;
        private final int level;

        /**
         * Looks the columns up.
         *
         * @param bench the bench file
         */
        public Columns(BenchFile bench) {
            List<BenchFile.Column> columns = bench.columns();
            corrections = new double[columns.size()];
            toBase = new double[columns.size()];
            for (int i = 0; i < columns.size(); i++) {
                corrections[i] = bench.channel(columns.get(i).name())
                        .map(ChannelSpec::correction)
                        .orElse(0.0);
                toBase[i] = columns.get(i).unit().toBase();
            }
            ambient = indices(bench, bench.channelsOf(BenchFile.AMBIENT));
            ambientWeights = weights(bench.channelsOf(BenchFile.AMBIENT));
            coolant = indices(bench, bench.channelsOf(BenchFile.COOLANT));
            fans = bench.group(BenchFile.FANS).stream().mapToInt(bench::indexOf).toArray();
            pump = bench.indexOf(BenchFile.PUMP);
            cpu = bench.indexOf(BenchFile.CPU);
            power = bench.indexOf(BenchFile.POWER);
            pumpDuty = bench.indexOf(BenchFile.PUMP_DUTY);
            supply = bench.indexOf(BenchFile.SUPPLY);
            level = bench.levelChannel().map(c -> bench.indexOf(c.name())).orElse(-1);
        }

        /** Weights that go with 1/u², their sum 1; equal ones unless every channel states its uncertainty. */
        private static double[] weights(List<ChannelSpec> channels) {
            boolean known = channels.stream()
                    .allMatch(c ->
                            c.uncertainty().isPresent() && c.uncertainty().get().standard() > 0.0);
            double[] weights = channels.stream()
                    .mapToDouble(c -> known
                            ? 1.0
                                    / (c.uncertainty().get().standard()
                                            * c.uncertainty().get().standard())
                            : 1.0)
                    .toArray();
            double sum = Arrays.stream(weights).sum();
            return Arrays.stream(weights).map(w -> w / sum).toArray();
        }

        private static int[] indices(BenchFile bench, List<ChannelSpec> channels) {
            return channels.stream().mapToInt(c -> bench.indexOf(c.name())).toArray();
        }
    }

    private final TickReadings sample;
    private final Columns columns;

    /**
     * A sample seen through a bench file.
     *
     * @param sample the sample
     * @param columns of the bench file that it was taken on
     */
    public Readout(TickReadings sample, Columns columns) {
        this.sample = sample;
        this.columns = columns;
    }

    /** {@return the sample as it was recorded} */
    public TickReadings sample() {
        return sample;
    }

    /** {@return seconds since the run began} */
    public double seconds() {
        return sample.seconds();
    }

    /**
     * The corrected value of a column.
     *
     * @param column index of the column; -1 for a column that the bench lacks
     * @return the value in the base unit of its dimension; NaN if the reading is not good or the column is lacking
     */
    public double value(int column) {
        return column >= 0 && sample.quality(column) == Quality.GOOD
                ? (sample.indicated(column) + columns.corrections[column]) * columns.toBase[column]
                : Double.NaN;
    }

    private double[] values(int[] indices) {
        double[] values = new double[indices.length];
        for (int i = 0; i < values.length; i++) {
            values[i] = value(indices[i]);
        }
        return values;
    }

    /** Their mean; NaN where there are none. */
    private double mean(int[] indices) {
        double sum = 0.0;
        for (int index : indices) {
            sum += value(index);
        }
        return sum / indices.length;
    }

    /**
     * {@return mean of the ambient probes, °C, weighted with 1/u² where every probe states its uncertainty; NaN if one of
     * them has no good reading}
     */
    public double ambientCelsius() {
        if (columns.ambient.length == 0) {
            return Double.NaN;
        }
        double sum = 0.0;
        for (int i = 0; i < columns.ambient.length; i++) {
            sum += columns.ambientWeights[i] * value(columns.ambient[i]);
        }
        return sum;
    }

    /** {@return temperature of each ambient probe, °C, in file order; NaN without a good reading} */
    public double[] ambientProbesCelsius() {
        return values(columns.ambient);
    }

    /** {@return mean of the coolant probes, °C; NaN if one of them has no good reading} */
    public double coolantCelsius() {
        return mean(columns.coolant);
    }

    /** {@return processor temperature, °C; NaN without a good reading} */
    public double cpuCelsius() {
        return value(columns.cpu);
    }

    /** {@return pump speed, rpm; NaN without a good reading} */
    public double pumpRpm() {
        return value(columns.pump);
    }

    /** {@return heat flow where the bench measures it, W; NaN without a good reading} */
    public double powerWatts() {
        return value(columns.power);
    }

    /** {@return the pump's duty as read back, per cent; NaN without a good reading} */
    public double pumpDutyPercent() {
        return value(columns.pumpDuty);
    }

    /** {@return the supply's power as read back, W; NaN without a good reading} */
    public double supplyWatts() {
        return value(columns.supply);
    }

    /** {@return sound level, dB as the meter weights it; NaN without a good reading} */
    public double levelDb() {
        return value(columns.level);
    }

    /** {@return mean speed of the fans, rpm; NaN if one of them has no good reading} */
    public double fanRpm() {
        return mean(columns.fans);
    }

    /** {@return true if each fan was read well and stands still} */
    public boolean fansStand() {
        return Arrays.stream(fanSpeedsRpm()).allMatch(rpm -> rpm == 0.0);
    }

    /** {@return true unless a fan was read well and stands still} */
    public boolean fansTurn() {
        return Arrays.stream(fanSpeedsRpm()).noneMatch(rpm -> rpm == 0.0);
    }

    /** {@return speed of each fan, rpm, in the order of the group; NaN without a good reading} */
    public double[] fanSpeedsRpm() {
        return values(columns.fans);
    }
}
