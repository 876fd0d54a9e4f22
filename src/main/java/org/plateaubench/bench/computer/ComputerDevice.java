package org.plateaubench.bench.computer;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.Device;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.ChannelSpec.Source;
import org.plateaubench.clock.Clock;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Unit;

/**
 * This computer as a device of the bench: labelled sensors, and the facts "processor-clock" (MHz, mean of all logical
 * processors), "processor-power" (W, mean since the reading before), "processor-load" (per cent of all processors'
 * time, mean since the reading before) and "throttle-count" (a count). All are read from the kernel's own files, which
 * only Linux has.
 */
public final class ComputerDevice implements Device {

    /** A sensor on a slow bus may take longer than it should; then the tick goes on without this device. */
    private static final long READ_MILLIS = 500;

    private static final int MODEL_NAME_LINES = 40;

    private final String name;
    private final List<ChannelSpec> channels;
    private final int columns;
    private final Clock clock;
    private final Path root;
    private final List<Gauge> gauges = new ArrayList<>();
    private final ExecutorService reader = Executors.newSingleThreadExecutor(body -> {
        Thread thread = new Thread(body, "computer");
        thread.setDaemon(true);
        return thread;
    });
    private Future<List<Reading>> underWay;

    /**
     * The computer that this program runs on.
     *
     * @param name the device's name in the bench file
     * @param file the bench
     * @param clock the run's clock
     */
    public ComputerDevice(String name, BenchFile file, Clock clock) {
        this(name, file, clock, Path.of("/"));
    }

    ComputerDevice(String name, BenchFile file, Clock clock, Path root) {
        this.name = name;
        this.channels =
                file.channels().stream().filter(c -> c.device().equals(name)).toList();
        this.columns = file.columnsOf(name).size();
        this.clock = clock;
        this.root = root;
    }

    /** {@return the names of this computer's temperature sensors, as a bench file calls them; empty where none are known} */
    public static List<String> temperatureSensors() {
        return new Hwmon(Path.of("/")).temperatures();
    }

    @Override
    public String name() {
        return name;
    }

    /** Finds every sensor and fact. What is missing is reported in one go, each with the nearest names that are there. */
    @Override
    public DeviceIdentity open() throws BenchException {
        gauges.clear();
        Hwmon hwmon = new Hwmon(root);
        List<String> problems = new ArrayList<>();
        BenchException first = null;
        for (ChannelSpec channel : channels) {
            try {
                gauges.add(gauge(channel, hwmon));
            } catch (BenchException e) {
                problems.add("  channel " + channel.name() + ": " + e.getMessage());
                first = first == null ? e : first;
            }
        }
        if (first != null) {
            gauges.clear();
            throw new BenchException(
                    "device " + name + ": this computer does not offer what the bench file asks of it\n"
                            + String.join("\n", problems),
                    first);
        }
        return new DeviceIdentity(name, processorName(), "this computer");
    }

    private Gauge gauge(ChannelSpec channel, Hwmon hwmon) throws BenchException {
        if (channel.source() instanceof Source.HostSensor sensor) {
            return hwmon.gauge(sensor.label(), channel.unit().dimension());
        }
        if (channel.source() instanceof Source.HostFact fact) {
            return switch (fact.name()) {
                case "processor-clock" -> in(channel, Unit.MEGAHERTZ, new ProcessorClock(root));
                case "processor-power" -> in(channel, Unit.WATT, new ProcessorPower(root, clock));
                case "processor-load" -> in(channel, Unit.PERCENT, new ProcessorShare(root));
                case "throttle-count" -> in(channel, Unit.ONE, new ThrottleCount(root));
                default ->
                    throw new BenchException(
                            "a computer has no fact '" + fact.name()
                                    + "'; it has processor-clock, processor-power, processor-load, throttle-count",
                            null);
            };
        }
        throw new BenchException("a computer is not asked by a question; name a sensor or a fact of it", null);
    }

    private static Gauge in(ChannelSpec channel, Unit factUnit, Gauge gauge) throws BenchException {
        if (channel.unit().dimension() != factUnit.dimension()) {
            throw new BenchException(
                    "this fact is " + factUnit.dimension().noun() + " such as "
                            + factUnit.dimension().example() + ", found the unit '"
                            + channel.unit().symbol() + "'",
                    null);
        }
        return gauge;
    }

    private String processorName() {
        return KernelFiles.textOrEmpty(root.resolve("proc/cpuinfo"))
                .lines()
                .limit(MODEL_NAME_LINES)
                .filter(line -> line.startsWith("model name") && line.indexOf(':') > 0)
                .map(line -> line.substring(line.indexOf(':') + 1).strip())
                .findFirst()
                .orElse("");
    }

    @Override
    public DeviceReadings read(long tick) {
        long began = clock.nanos();
        List<Reading> readings = readInTime();
        return new DeviceReadings(readings, List.of(), clock.nanos() - began);
    }

    private List<Reading> readInTime() {
        List<Reading> missing = Collections.nCopies(columns, Reading.none(Quality.MISSING));
        if (underWay != null && !underWay.isDone()) {
            return missing;
        }
        try {
            // What a late reading brought is old, and is dropped here.
            underWay = reader.submit(this::readAll);
            return underWay.get(READ_MILLIS, TimeUnit.MILLISECONDS);
        } catch (TimeoutException | RejectedExecutionException e) {
            // Too slow, or closed meanwhile.
            return missing;
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return missing;
        } catch (ExecutionException e) {
            throw new IllegalStateException("reading the computer failed in a way that it must not", e.getCause());
        }
    }

    private List<Reading> readAll() {
        List<Reading> readings = new ArrayList<>();
        for (int i = 0; i < gauges.size(); i++) {
            readings.add(reading(channels.get(i), gauges.get(i).read()));
        }
        while (readings.size() < columns) {
            readings.add(Reading.none(Quality.MISSING));
        }
        return readings;
    }

    private static Reading reading(ChannelSpec channel, Gauge.Indication indication) {
        if (indication.quality() != Quality.GOOD) {
            return Reading.none(indication.quality());
        }
        double value = indication.value() / channel.unit().toBase();
        return Reading.of(value, channel.unit(), channel.believes(value) ? Quality.GOOD : Quality.OUT_OF_RANGE);
    }

    /** Refuses: a computer sets no duty. */
    @Override
    public SetResult set(ActuatorSpec actuator, double percent) {
        return new SetResult(
                actuator.name(),
                Decimals.fixed(percent, 2) + " %",
                false,
                "",
                "a computer sets no duty of a fan or pump");
    }

    @Override
    public void close() {
        reader.shutdownNow();
    }
}
