package org.plateaubench.bench.sim;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.function.DoubleSupplier;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.SimulationKey;

/**
 * What the channels of a bench file report of the truth. A channel's meaning follows from its name: ambient, coolant
 * (coolant-in before the cold plate, coolant-out behind it), the fans of the group, pump, cpu, cpu-clock,
 * throttle-count, power, flow, pressure, leak, level; any other gives a steady value inside its valid range.
 */
final class Sensors {

    private static final double CPU_NOISE = 0.4;
    private static final double CPU_MEMORY = 0.5;
    /** Processors report whole degrees. */
    private static final double CPU_RESOLUTION = 1.0;

    private static final double CLOCK_NOISE_MEGAHERTZ = 1.0;
    private static final double POWER_NOISE_WATTS = 0.3;
    private static final double POWER_RESOLUTION_WATTS = 0.01;
    private static final double FLOW_NOISE = 0.005;
    private static final double PRESSURE_NOISE_HECTOPASCAL = 0.05;
    private static final double DRY_VOLTS = 0.1;
    private static final double WET_VOLTS = 3.1;
    private static final double LEAK_NOISE_VOLTS = 0.005;
    private static final double LEVEL_RESOLUTION_DB = 0.1;

    private final BenchFile file;
    private final Settings settings;
    private final Truth truth;
    private final long bench;
    private final long night;
    private final Map<String, Gauge> gauges = new HashMap<>();

    /**
     * The sensors of a bench.
     *
     * @param file the bench file
     * @param settings the numbers
     * @param truth what they measure
     * @param bench key of what belongs to the bench, such as offsets
     * @param night key of what belongs to this night, such as noise
     */
    Sensors(BenchFile file, Settings settings, Truth truth, long bench, long night) {
        this.file = file;
        this.settings = settings;
        this.truth = truth;
        this.bench = Draw.key(bench, "sensors");
        this.night = Draw.key(night, "sensors");
        file.channels().forEach(channel -> gauges.put(channel.name(), gauge(channel)));
    }

    /**
     * Reads a channel.
     *
     * @param channel which
     * @param tick number of the tick; not before the last one
     * @return what the device says: the channel's unit, or Hz where it counts pulses
     */
    double read(ChannelSpec channel, long tick) {
        double value = gauges.get(channel.name()).read(tick) / channel.unit().toBase();
        if (channel.tachometerPulses().isPresent()) {
            value *= channel.tachometerPulses().getAsInt() / 60.0;
        }
        return value - channel.correction();
    }

    private Gauge gauge(ChannelSpec channel) {
        String name = channel.name();
        long noise = Draw.key(night, name);
        List<String> fans = file.group(BenchFile.FANS);
        if (fans.contains(name)) {
            int fan = fans.indexOf(name);
            double factor = settings.get(SimulationKey.TACHOMETER_FACTOR);
            return tachometer(() -> factor * truth.fanRpm(fan), noise);
        }
        String role = name.indexOf('-') < 0 ? name : name.substring(0, name.indexOf('-'));
        return switch (name) {
            case BenchFile.PUMP -> tachometer(truth::pumpRpm, noise);
            case BenchFile.CPU ->
                Gauge.noisy(truth::sourceCelsius, offset(channel), CPU_NOISE, CPU_MEMORY, CPU_RESOLUTION, noise);
            case BenchFile.POWER ->
                Gauge.noisy(truth::sourceWatts, 0.0, POWER_NOISE_WATTS, 0.0, POWER_RESOLUTION_WATTS, noise);
            case "cpu-clock" -> Gauge.noisy(truth::clockMegahertz, 0.0, CLOCK_NOISE_MEGAHERTZ, 0.0, 0.0, noise);
            case "throttle-count" -> Gauge.exact(truth::throttleCount);
            case "flow" -> Gauge.relative(truth::flowLitresPerMinute, FLOW_NOISE, 0.0, noise);
            case "pressure" ->
                Gauge.noisy(truth::pressureHectopascal, 0.0, PRESSURE_NOISE_HECTOPASCAL, 0.0, 0.0, noise);
            case "leak" ->
                Gauge.noisy(() -> truth.leaking() ? WET_VOLTS : DRY_VOLTS, 0.0, LEAK_NOISE_VOLTS, 0.0, 0.0, noise);
            case "level" -> level(channel, noise);
            default ->
                switch (role) {
                    case BenchFile.AMBIENT -> thermometer(truth::ambientProbeCelsius, channel, noise);
                    case BenchFile.COOLANT -> thermometer(coolant(name), channel, noise);
                    default -> Gauge.exact(() -> steady(channel));
                };
        };
    }

    private DoubleSupplier coolant(String name) {
        if (name.endsWith("-in")) {
            return () -> truth.coolantProbeCelsius() - truth.coolantGainKelvin() / 2;
        }
        if (name.endsWith("-out")) {
            return () -> truth.coolantProbeCelsius() + truth.coolantGainKelvin() / 2;
        }
        return truth::coolantProbeCelsius;
    }

    private Gauge thermometer(DoubleSupplier celsius, ChannelSpec channel, long key) {
        return Gauge.noisy(
                celsius,
                offset(channel),
                settings.get(SimulationKey.NOISE),
                settings.fraction(SimulationKey.NOISE_CORRELATION),
                settings.get(SimulationKey.RESOLUTION),
                key);
    }

    private Gauge tachometer(DoubleSupplier rpm, long key) {
        return Gauge.relative(
                rpm,
                settings.fraction(SimulationKey.TACHOMETER_JITTER),
                settings.get(SimulationKey.TACHOMETER_RESOLUTION),
                key);
    }

    private Gauge level(ChannelSpec channel, long key) {
        double floor = channel.level().isPresent()
                ? channel.level().get().floorDb().orElse(Double.NEGATIVE_INFINITY)
                : Double.NEGATIVE_INFINITY;
        return Gauge.noisy(
                () -> 10.0 * StrictMath.log10(energy(truth.fansDb()) + energy(truth.backgroundDb()) + energy(floor)),
                0.0,
                settings.get(SimulationKey.LEVEL_FLUCTUATION),
                0.0,
                LEVEL_RESOLUTION_DB,
                key);
    }

    private static double energy(double levelDb) {
        return StrictMath.pow(10.0, levelDb / 10.0);
    }

    /** An offset drawn from the stated uncertainty: between limits uniformly, else from a normal distribution. */
    private double offset(ChannelSpec channel) {
        if (channel.uncertainty().isEmpty()) {
            return 0.0;
        }
        ChannelSpec.Uncertainty uncertainty = channel.uncertainty().get();
        double standard =
                uncertainty.standard() * channel.unit().toBase() * settings.fraction(SimulationKey.SENSOR_OFFSETS);
        long key = Draw.key(Draw.key(bench, channel.name()), "offset");
        return uncertainty.limits()
                ? standard * StrictMath.sqrt(3.0) * (2.0 * Draw.uniform(key) - 1.0)
                : standard * Draw.normal(key);
    }

    private static double steady(ChannelSpec channel) {
        double value = channel.valid().map(r -> (r.low() + r.high()) / 2).orElse(1.0);
        return value * channel.unit().toBase();
    }
}
