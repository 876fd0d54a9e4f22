package org.plateaubench.results;

import java.io.IOException;
import java.util.Arrays;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.equilibrium.LagFilter;
import org.plateaubench.record.RecordedNight;

/** The corrected readings of a night that results are made of, one array a quantity, one place a row of samples. */
final class NightColumns {

    private static final int FIRST_LENGTH = 4096;
    private static final String PRESSURE = "pressure";
    private static final String HUMIDITY = "humidity";
    private static final String FLOW = "flow";
    private static final String COOLANT_IN = "coolant-in";
    private static final String COOLANT_OUT = "coolant-out";

    /** Relative humidity where it is not measured, %: 50 % more or less is 0.6 % of the density at 22 °C. */
    private static final double USUAL_HUMIDITY_PERCENT = 50.0;

    private int rows;
    private long[] tick = new long[FIRST_LENGTH];
    private double[] seconds = new double[FIRST_LENGTH];
    private double[] ambient = new double[FIRST_LENGTH];
    private double[] coolant = new double[FIRST_LENGTH];
    private double[] cpu = new double[FIRST_LENGTH];
    private double[] fan = new double[FIRST_LENGTH];
    private double[] pump = new double[FIRST_LENGTH];
    private double[] power = new double[FIRST_LENGTH];
    private double[] pressure = new double[FIRST_LENGTH];
    private double[] humidity = new double[FIRST_LENGTH];
    private double[] flow = new double[FIRST_LENGTH];
    private double[] coolantIn = new double[FIRST_LENGTH];
    private double[] coolantOut = new double[FIRST_LENGTH];
    private double[][] ambientProbes = new double[FIRST_LENGTH][];

    private NightColumns() {}

    /**
     * Reads a night.
     *
     * @param night the record
     * @param bench its bench file
     * @return its readings
     * @throws IOException if the record cannot be read
     */
    static NightColumns of(RecordedNight night, BenchFile bench) throws IOException {
        NightColumns columns = new NightColumns();
        Readout.Columns places = new Readout.Columns(bench);
        int[] others = {
            bench.indexOf(PRESSURE),
            bench.indexOf(HUMIDITY),
            bench.indexOf(FLOW),
            bench.indexOf(COOLANT_IN),
            bench.indexOf(COOLANT_OUT)
        };
        night.readings(row -> columns.add(new Readout(row, places), others));
        return columns;
    }

    private void add(Readout readout, int[] others) {
        if (rows == tick.length) {
            int length = 2 * rows;
            tick = Arrays.copyOf(tick, length);
            seconds = Arrays.copyOf(seconds, length);
            ambient = Arrays.copyOf(ambient, length);
            coolant = Arrays.copyOf(coolant, length);
            cpu = Arrays.copyOf(cpu, length);
            fan = Arrays.copyOf(fan, length);
            pump = Arrays.copyOf(pump, length);
            power = Arrays.copyOf(power, length);
            pressure = Arrays.copyOf(pressure, length);
            humidity = Arrays.copyOf(humidity, length);
            flow = Arrays.copyOf(flow, length);
            coolantIn = Arrays.copyOf(coolantIn, length);
            coolantOut = Arrays.copyOf(coolantOut, length);
            ambientProbes = Arrays.copyOf(ambientProbes, length);
        }
        tick[rows] = readout.sample().tick();
        seconds[rows] = readout.seconds();
        ambient[rows] = readout.ambientCelsius();
        coolant[rows] = readout.coolantCelsius();
        cpu[rows] = readout.cpuCelsius();
        fan[rows] = readout.fanRpm();
        pump[rows] = readout.pumpRpm();
        power[rows] = readout.powerWatts();
        pressure[rows] = readout.value(others[0]);
        humidity[rows] = readout.value(others[1]);
        flow[rows] = readout.value(others[2]);
        coolantIn[rows] = readout.value(others[3]);
        coolantOut[rows] = readout.value(others[4]);
        ambientProbes[rows] = readout.ambientProbesCelsius();
        rows++;
    }

    /** {@return first row whose tick is not before the one given; the number of rows if there is none} */
    int rowOf(long wantedTick) {
        int place = Arrays.binarySearch(tick, 0, rows, wantedTick);
        return place < 0 ? -place - 1 : place;
    }

    /** {@return first row from a time on, between two rows; the latter if there is none} */
    int rowAt(double wantedSeconds, int from, int to) {
        int row = from;
        while (row < to && seconds[row] < wantedSeconds) {
            row++;
        }
        return row;
    }

    long tick(int row) {
        return tick[row];
    }

    double seconds(int row) {
        return seconds[row];
    }

    double ambient(int row) {
        return ambient[row];
    }

    double coolant(int row) {
        return coolant[row];
    }

    double cpu(int row) {
        return cpu[row];
    }

    double fan(int row) {
        return fan[row];
    }

    double pump(int row) {
        return pump[row];
    }

    /** Air pressure, hPa; NaN where it is not measured. */
    double pressure(int row) {
        return pressure[row];
    }

    /** Relative humidity, %; the usual one where it is not measured. */
    double humidity(int row) {
        return Double.isNaN(humidity[row]) ? USUAL_HUMIDITY_PERCENT : humidity[row];
    }

    /** Heat flow, W; NaN where it is not measured. */
    double power(int row) {
        return power[row];
    }

    /** Flow of the coolant, L/min; NaN where it is not measured. */
    double flow(int row) {
        return flow[row];
    }

    /** Coolant before the cold plate, °C; NaN where it is not measured. */
    double coolantIn(int row) {
        return coolantIn[row];
    }

    /** Coolant behind the cold plate, °C; NaN where it is not measured. */
    double coolantOut(int row) {
        return coolantOut[row];
    }

    double[] ambientProbes(int row) {
        return ambientProbes[row];
    }

    /**
     * The ambient as the loop feels it.
     *
     * @param timeConstantSeconds time constant of the loop, s
     * @param probeLagSeconds lag of the ambient probes, s
     * @param to row before which to end
     * @return °C, one a row; NaN where the ambient was not read well
     */
    double[] filteredAmbient(double timeConstantSeconds, double probeLagSeconds, int to) {
        LagFilter filter = new LagFilter(timeConstantSeconds, probeLagSeconds);
        double[] filtered = new double[to];
        Arrays.fill(filtered, Double.NaN);
        for (int row = 0; row < to; row++) {
            if (!Double.isNaN(ambient[row])) {
                filtered[row] = filter.add(seconds[row], ambient[row]);
            }
        }
        return filtered;
    }

    /**
     * The heat flow as the loop feels it, relative to its mean: what a load that differs from run to run does to the rise.
     *
     * @param timeConstantSeconds time constant of the loop, s
     * @param from first row, under heat
     * @param to row before which to end
     * @return filtered heat flow over the mean of these rows, one a row, beginning with 1; 1 where it is not measured
     */
    double[] relativePower(double timeConstantSeconds, int from, int to) {
        double mean = meanPower(from, to);
        double[] relative = new double[to];
        Arrays.fill(relative, 1.0);
        LagFilter filter = new LagFilter(timeConstantSeconds);
        if (!(mean > 0.0)) {
            return relative;
        }
        for (int row = from; row < to; row++) {
            double now = row == from ? mean : power[row];
            if (!Double.isNaN(now)) {
                filter.add(seconds[row], now);
            }
            relative[row] = filter.value() / mean;
        }
        return relative;
    }

    /** Mean heat flow, W; NaN where it is not measured. */
    double meanPower(int from, int to) {
        return Arrays.stream(power, from, to)
                .filter(w -> !Double.isNaN(w))
                .average()
                .orElse(Double.NaN);
    }
}
