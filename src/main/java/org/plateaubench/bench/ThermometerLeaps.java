package org.plateaubench.bench;

import java.util.Arrays;
import java.util.stream.Stream;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;

/**
 * Marks readings of air and coolant that are none: the power-on value of a thermometer, and what has leapt as no liquid
 * and no room can, such as a number that lost a character. A leap is believed once some readings in succession agree
 * about it, since what was believed before may have been wrong.
 */
final class ThermometerLeaps {

    private static final double LEAP_KELVIN = 3.0;

    /** What digital thermometers on a one-wire bus give after power-on, before they have measured. */
    private static final double POWER_ON_CELSIUS = 85.0;

    private static final int AGREEING = 3;

    private final int[] columns;
    private final double[] toKelvin;
    private final double[] believed;
    private final double[] leapt;
    private final int[] agreeing;

    /**
     * The thermometers of a bench, before their first reading.
     *
     * @param file the bench
     */
    ThermometerLeaps(BenchFile file) {
        ChannelSpec[] channels = Stream.of(BenchFile.AMBIENT, BenchFile.COOLANT)
                .flatMap(role -> file.channelsOf(role).stream())
                .toArray(ChannelSpec[]::new);
        columns = Arrays.stream(channels).mapToInt(c -> file.indexOf(c.name())).toArray();
        toKelvin = Arrays.stream(channels).mapToDouble(c -> c.unit().toBase()).toArray();
        believed = new double[columns.length];
        leapt = new double[columns.length];
        agreeing = new int[columns.length];
        Arrays.fill(believed, Double.NaN);
    }

    /**
     * Marks the leaps of a sweep.
     *
     * @param readings one a column of the bench; those that have leapt become out of range
     */
    void mark(Reading[] readings) {
        for (int i = 0; i < columns.length; i++) {
            Reading reading = readings[columns[i]];
            // Whether or not the file's range holds it, it is the instrument's fault. NaN equals nothing.
            if (reading.value() * toKelvin[i] == POWER_ON_CELSIUS) {
                readings[columns[i]] = Reading.none(Quality.DEVICE_FAULT);
            } else if (reading.good() && !believes(i, reading.value() * toKelvin[i])) {
                readings[columns[i]] = new Reading(reading.text(), reading.value(), Quality.OUT_OF_RANGE);
            }
        }
    }

    private boolean believes(int i, double kelvin) {
        if (!(Math.abs(kelvin - believed[i]) > LEAP_KELVIN)) {
            agreeing[i] = 0;
        } else {
            agreeing[i] = agreeing[i] > 0 && Math.abs(kelvin - leapt[i]) <= LEAP_KELVIN ? agreeing[i] + 1 : 1;
            leapt[i] = kelvin;
            if (agreeing[i] < AGREEING) {
                return false;
            }
            agreeing[i] = 0;
        }
        believed[i] = kelvin;
        return true;
    }
}
