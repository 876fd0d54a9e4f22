package org.plateaubench.bench;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.Function;
import java.util.stream.Collectors;
import org.plateaubench.bench.Device.DeviceReadings;
import org.plateaubench.bench.Sweep.DeviceEvent;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.clock.Deadline;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;

/**
 * A bench made of devices. Each device has a daemon thread of its own on which everything is done with it, in order: so
 * devices are read in parallel, one that hangs delays nobody for more than its own limit, and any thread can make the
 * bench safe while a reading is under way.
 */
public final class DeviceBench implements Bench {

    /** What a device may take beyond its timeout: finding a port again, and the slice in which its line waits. */
    private static final int BEYOND_MILLIS = 500;

    /** Computers answer from memory or from their own sensors' buses. */
    private static final int COMPUTER_MILLIS = 500;

    /** In simulated time nothing really waits; this long without progress is a fault of the program. */
    private static final int SIMULATED_MILLIS = 5000;

    private static final int TURN_MILLIS = 200;

    /** A reading under way, the identity where the line is out of step, and the setting itself. */
    private static final int TIMEOUTS_OF_SETTING = 3;

    private static final int LOAD_OFF_MILLIS = 1000;

    private final BenchFile file;
    private final Load load;
    private final List<Worker> workers;
    private final int columns;
    private final ThermometerLeaps leaps;
    private final ExecutorService loadThread;
    private final SafeState safeState;

    /**
     * A bench, not yet opened.
     *
     * @param file what it is
     * @param devices one for each device of the file, in its order
     * @param load its heat
     * @throws IllegalArgumentException if the devices are not those of the file
     */
    public DeviceBench(BenchFile file, List<Device> devices, Load load) {
        this(file, devices, load, DeviceBench::thread);
    }

    /**
     * A bench whose devices need no threads of their own, not yet opened.
     *
     * @param file what it is
     * @param devices one for each device of the file, in its order
     * @param load its heat
     * @param threads makes what everything is done on with one device, or with the load; given a name for it
     * @throws IllegalArgumentException if the devices are not those of the file
     */
    public DeviceBench(BenchFile file, List<Device> devices, Load load, Function<String, ExecutorService> threads) {
        List<String> needed = file.devices().stream().map(DeviceSpec::name).toList();
        List<String> found = devices.stream().map(Device::name).toList();
        if (!found.equals(needed)) {
            throw new IllegalArgumentException("the bench file has the devices " + needed + ", found " + found);
        }
        this.file = file;
        this.load = load;
        this.loadThread = threads.apply("load off");
        this.workers = new ArrayList<>();
        this.columns = file.columns().size();
        this.leaps = new ThermometerLeaps(file);
        for (int i = 0; i < devices.size(); i++) {
            Device device = devices.get(i);
            workers.add(new Worker(device, file.devices().get(i), threads.apply("device " + device.name())));
        }
        this.safeState = new SafeState(file, this::loadOffInTime, this::setSafe);
    }

    /** Where the columns of a device stand among those of the bench. */
    private int[] places(String device) {
        List<String> owners = new ArrayList<>();
        file.channels().stream().map(ChannelSpec::device).forEach(owners::add);
        file.actuators().stream()
                .filter(a -> a.readback().isPresent())
                .map(ActuatorSpec::device)
                .forEach(owners::add);
        file.supply()
                .filter(s -> s.readback().isPresent())
                .map(SupplySpec::device)
                .ifPresent(owners::add);
        int[] places = new int[owners.size()];
        int count = 0;
        for (int i = 0; i < owners.size(); i++) {
            if (owners.get(i).equals(device)) {
                places[count++] = i;
            }
        }
        return Arrays.copyOf(places, count);
    }

    @Override
    public BenchFile file() {
        return file;
    }

    @Override
    public List<DeviceIdentity> open() throws BenchException {
        List<DeviceIdentity> identities = new ArrayList<>();
        List<BenchException> failures = new ArrayList<>();
        // One after the other: twin adapters are told apart by asking, and a port can be asked by one only.
        for (Worker worker : workers) {
            try {
                identities.add(worker.open());
            } catch (BenchException e) {
                failures.add(e);
            }
        }
        if (failures.isEmpty()) {
            return identities;
        }
        close();
        throw new BenchException(
                failures.stream().map(Throwable::getMessage).collect(Collectors.joining("\n")), failures.get(0));
    }

    @Override
    public Sweep read(long tick) {
        load.renew();
        workers.forEach(worker -> worker.begin(tick));
        Reading[] readings = new Reading[columns];
        List<DeviceEvent> events = new ArrayList<>();
        long busyNanos = 0;
        for (Worker worker : workers) {
            DeviceReadings of = worker.finish();
            for (int i = 0; i < worker.places.length; i++) {
                readings[worker.places[i]] = of.readings().get(i);
            }
            events.addAll(of.events());
            busyNanos = Math.max(busyNanos, of.busyNanos());
        }
        leaps.mark(readings);
        return new Sweep(Arrays.asList(readings), events, busyNanos);
    }

    @Override
    public SetResult set(String actuator, double percent) {
        ActuatorSpec spec = file.actuator(actuator)
                .orElseThrow(() -> new IllegalArgumentException("the bench has no actuator " + actuator));
        if (!(percent >= 0.0 && percent <= 100.0)) {
            throw new IllegalArgumentException("a duty is 0 to 100 %, found " + percent);
        }
        Worker worker = workerOf(spec.device());
        return worker.set(
                spec,
                percent,
                () -> safeState.allows(spec, percent)
                        ? worker.device.set(spec, percent)
                        : refused(spec.name(), percent));
    }

    private static SetResult refused(String actuator, double percent) {
        return new SetResult(actuator, asked(percent), false, "", "refused: the bench has been made safe");
    }

    private SetResult setSafe(ActuatorSpec spec) {
        Worker worker = workerOf(spec.device());
        return worker.set(spec, safeState.percent(spec), () -> worker.device.set(spec, safeState.percent(spec)));
    }

    private Worker workerOf(String device) {
        return workers.stream()
                .filter(w -> w.device.name().equals(device))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("the bench has no device " + device));
    }

    private static String asked(double percent) {
        return Decimals.fixed(percent, 2) + " %";
    }

    @Override
    public SetResult heatOn(HeatDemand demand) {
        if (!safeState.entered()) {
            SetResult result = load.on(demand);
            if (!safeState.entered()) {
                return result;
            }
            // Another thread made the bench safe meanwhile, perhaps just before the heat came on.
            load.off();
        }
        return new SetResult("heat", demand.text(), false, "", "refused: the bench has been made safe");
    }

    @Override
    public SetResult heatOff() {
        return load.off();
    }

    private SetResult loadOffInTime() {
        return inTime(loadThread.submit(load::off), LOAD_OFF_MILLIS, "heat", "off");
    }

    private static SetResult inTime(Future<SetResult> setting, int millis, String target, String asked) {
        String detail;
        try {
            return setting.get(millis, TimeUnit.MILLISECONDS);
        } catch (TimeoutException e) {
            detail = "not done within " + millis + " ms; it is still being tried";
        } catch (ExecutionException e) {
            detail = "failed: " + e.getCause();
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            detail = "interrupted; it is still being tried";
        }
        return new SetResult(target, asked, false, "", detail);
    }

    @Override
    public String heard(String device) {
        return workerOf(device).device.heard();
    }

    @Override
    public List<LoadEvent> loadEvents() {
        return load.events();
    }

    @Override
    public List<SetResult> makeSafe(boolean pumpOff) {
        return safeState.make(pumpOff);
    }

    @Override
    public void close() {
        load.close();
        workers.forEach(Worker::close);
        loadThread.shutdownNow();
    }

    private static ExecutorService thread(String name) {
        return Executors.newSingleThreadExecutor(task -> {
            Thread thread = new Thread(task, name);
            thread.setDaemon(true);
            return thread;
        });
    }

    /** A device with its thread. */
    private final class Worker {

        private final Device device;
        private final int timeoutMillis;
        private final int[] places;
        private final ExecutorService thread;
        private final List<DeviceEvent> lateEvents = new ArrayList<>();
        private Future<DeviceReadings> reading;
        private Deadline deadline;
        private boolean hangs;

        Worker(Device device, DeviceSpec spec, ExecutorService thread) {
            this.device = device;
            this.timeoutMillis = spec instanceof DeviceSpec.Serial serial ? serial.timeoutMillis() : COMPUTER_MILLIS;
            this.places = places(device.name());
            this.thread = thread;
        }

        private int limitMillis(int timeouts) {
            return file.simulation().isPresent() ? SIMULATED_MILLIS : timeouts * timeoutMillis + BEYOND_MILLIS;
        }

        DeviceIdentity open() throws BenchException {
            try {
                return thread.submit(device::open).get();
            } catch (ExecutionException e) {
                if (e.getCause() instanceof BenchException failure) {
                    throw failure;
                }
                throw new IllegalStateException("device " + device.name() + " could not be opened", e.getCause());
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
                throw new BenchException("device " + device.name() + ": interrupted while it was opened", e);
            }
        }

        /** Begins a reading, unless the one before still hangs. */
        void begin(long tick) {
            hangs = reading != null && !reading.isDone();
            if (hangs) {
                return;
            }
            if (reading != null) {
                lateEvents.addAll(result(0).events());
            }
            reading = thread.submit(() -> device.read(tick));
            deadline = Deadline.afterMillis(limitMillis(1));
        }

        /** Waits for the reading, or for its time to be over. What comes later is too old; only its events are kept. */
        DeviceReadings finish() {
            DeviceReadings result = hangs ? missing() : result(deadline.leftMillis());
            if (lateEvents.isEmpty()) {
                return result;
            }
            lateEvents.addAll(result.events());
            DeviceReadings all = new DeviceReadings(result.readings(), lateEvents, result.busyNanos());
            lateEvents.clear();
            return all;
        }

        private DeviceReadings result(long millis) {
            try {
                DeviceReadings result =
                        file.simulation().isPresent() ? inTurns() : reading.get(millis, TimeUnit.MILLISECONDS);
                reading = null;
                return result;
            } catch (TimeoutException e) {
                return missing();
            } catch (ExecutionException e) {
                throw new IllegalStateException("device " + device.name() + " could not be read", e.getCause());
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
                return missing();
            }
        }

        /** What a simulated device reads. Turns are counted, not the time: a program that was stopped had none. */
        private DeviceReadings inTurns() throws ExecutionException, InterruptedException {
            for (int turns = 1; ; turns++) {
                try {
                    return reading.get(TURN_MILLIS, TimeUnit.MILLISECONDS);
                } catch (TimeoutException e) {
                    if (turns * TURN_MILLIS >= SIMULATED_MILLIS) {
                        throw new IllegalStateException(
                                "simulated device " + device.name() + " made no progress for " + SIMULATED_MILLIS
                                        + " ms",
                                e);
                    }
                }
            }
        }

        private DeviceReadings missing() {
            return new DeviceReadings(Collections.nCopies(places.length, Reading.none(Quality.MISSING)), List.of(), 0);
        }

        SetResult set(ActuatorSpec spec, double percent, Callable<SetResult> setting) {
            return inTime(thread.submit(setting), limitMillis(TIMEOUTS_OF_SETTING), spec.name(), asked(percent));
        }

        void close() {
            device.close();
            thread.shutdownNow();
        }
    }
}
