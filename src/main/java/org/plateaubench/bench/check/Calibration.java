package org.plateaubench.bench.check;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import java.util.function.Consumer;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Sweep;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.clock.Clock;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;

/**
 * Corrections of temperature probes, from readings at one known or common temperature: the indicated mean of each probe
 * against the reference. Standard uncertainties are combined as independent (JCGM 100:2008, 5.1.2): the reference, the
 * mean of the readings from its ten batches, half a step of the display (a rectangle, 4.3.7), and what was left of drift.
 */
public final class Calibration {

    private static final long PERIOD_NANOS = 1_000_000_000L;
    private static final int BATCHES = 10;
    private static final double GOOD_SHARE = 0.9;
    /** Probes that still move by more between the first and the last third of the time are not in their bath's state. */
    private static final double DRIFT_KELVIN = 0.05;

    private static final double NEAR_KELVIN = 5.0;
    private static final double ROOT_TWELVE = StrictMath.sqrt(12.0);
    private static final double FINEST_STEP_KELVIN = 0.001;

    private final Bench bench;
    private final Clock clock;
    private final Consumer<String> progress;

    /**
     * A calibration on an open bench.
     *
     * @param bench the bench, open; nothing on it is set
     * @param clock its time
     * @param progress told how it goes, a line a minute
     */
    public Calibration(Bench bench, Clock clock, Consumer<String> progress) {
        this.bench = bench;
        this.clock = clock;
        this.progress = progress;
    }

    /**
     * What the probes are compared with.
     *
     * @param celsius its temperature, °C; empty for the mean of the probes themselves, as corrected so far
     * @param standardKelvin its standard uncertainty, K
     */
    public record Reference(OptionalDouble celsius, double standardKelvin) {}

    /**
     * What came of one probe.
     *
     * @param channel its channel
     * @param readings how many good readings there were
     * @param indicatedCelsius their mean, °C
     * @param driftKelvin mean of the last third of the time less that of the first, K
     * @param correctionKelvin what is to be added to its readings, K
     * @param standardKelvin standard uncertainty of a corrected reading, K
     * @param fault why it must not be used, one line; empty if it may
     */
    public record Probe(
            String channel,
            int readings,
            double indicatedCelsius,
            double driftKelvin,
            double correctionKelvin,
            double standardKelvin,
            String fault) {}

    /**
     * Reads the probes once a second and compares them.
     *
     * @param channels the probes' channels, at least one
     * @param reference what they are compared with
     * @param seconds for how long, s; 30 or more
     * @return one for each channel, in their order; with a fault in one, none of them may be used
     */
    public List<Probe> run(List<ChannelSpec> channels, Reference reference, int seconds) {
        List<List<Double>> indicated = new ArrayList<>();
        channels.forEach(c -> indicated.add(new ArrayList<>()));
        BenchFile file = bench.file();
        long begin = clock.nanos();
        for (int tick = 0; tick < seconds; tick++) {
            clock.awaitNanos(begin + tick * PERIOD_NANOS, () -> false);
            Sweep sweep = bench.read(tick);
            clock.spend(sweep.busyNanos());
            for (int i = 0; i < channels.size(); i++) {
                Reading reading =
                        sweep.readings().get(file.indexOf(channels.get(i).name()));
                if (reading.good() || nearReference(reading, reference)) {
                    indicated.get(i).add(reading.value());
                }
            }
            if (tick > 0 && tick % 60 == 0) {
                progress.accept(tick / 60 + " min of " + Decimals.shortest(seconds / 60.0, 1) + " min");
            }
        }
        return compared(channels, indicated, reference, seconds);
    }

    /** An ice point lies outside the range in which a probe is believed on the bench. */
    private static boolean nearReference(Reading reading, Reference reference) {
        return reading.quality() == Quality.OUT_OF_RANGE
                && reference.celsius().isPresent()
                && Math.abs(reading.value() - reference.celsius().getAsDouble()) <= NEAR_KELVIN;
    }

    static List<Probe> compared(
            List<ChannelSpec> channels, List<List<Double>> indicated, Reference reference, int seconds) {
        double sum = 0;
        for (int i = 0; i < channels.size(); i++) {
            sum += mean(indicated.get(i)) + channels.get(i).correction();
        }
        double known = reference.celsius().orElse(sum / channels.size());
        List<Probe> probes = new ArrayList<>();
        for (int i = 0; i < channels.size(); i++) {
            probes.add(probe(channels.get(i).name(), indicated.get(i), known, reference.standardKelvin(), seconds));
        }
        return probes;
    }

    private static Probe probe(
            String channel, List<Double> indicated, double known, double referenceKelvin, int seconds) {
        int count = indicated.size();
        if (count < GOOD_SHARE * seconds || count < 2 * BATCHES) {
            return new Probe(
                    channel,
                    count,
                    Double.NaN,
                    Double.NaN,
                    Double.NaN,
                    Double.NaN,
                    "only " + count + " of " + seconds + " readings are good: plateau bench check says what is wrong");
        }
        double mean = mean(indicated);
        double drift = mean(indicated.subList(count - count / 3, count)) - mean(indicated.subList(0, count / 3));
        double variance = referenceKelvin * referenceKelvin
                + square(batchSpread(indicated) / StrictMath.sqrt(BATCHES))
                + square(step(indicated) / ROOT_TWELVE)
                + square(drift / ROOT_TWELVE);
        String fault = Math.abs(drift) > DRIFT_KELVIN
                ? "it still moves, by " + Decimals.fixed(drift, 3) + " K: wait until it stands still, and do it again"
                : "";
        return new Probe(channel, count, mean, drift, known - mean, StrictMath.sqrt(variance), fault);
    }

    private static double square(double value) {
        return value * value;
    }

    private static double mean(List<Double> values) {
        return values.stream().mapToDouble(v -> v).average().orElse(Double.NaN);
    }

    /** Standard deviation of the means of ten stretches, in which the noise of neighbours has averaged out. */
    private static double batchSpread(List<Double> values) {
        List<Double> means = new ArrayList<>();
        for (int i = 0; i < BATCHES; i++) {
            int begin = values.size() * i / BATCHES;
            means.add(mean(values.subList(begin, values.size() * (i + 1) / BATCHES)));
        }
        double mean = mean(means);
        double squares = means.stream().mapToDouble(m -> square(m - mean)).sum();
        return StrictMath.sqrt(squares / (BATCHES - 1));
    }

    /** The smallest difference between two readings; the finest that is recorded if all are alike. */
    private static double step(List<Double> values) {
        List<Double> sorted = values.stream().sorted().distinct().toList();
        double step = Double.POSITIVE_INFINITY;
        for (int i = 1; i < sorted.size(); i++) {
            step = Math.min(step, sorted.get(i) - sorted.get(i - 1));
        }
        return Double.isInfinite(step) ? FINEST_STEP_KELVIN : step;
    }
}
