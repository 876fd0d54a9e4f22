package org.plateaubench.bench.sim;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.Device;
import org.plateaubench.bench.DeviceBench;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep;
import org.plateaubench.bench.serial.SerialDevice;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.clock.VirtualClock;

/**
 * A bench whose devices are simulated and whose truth is known. It is driven by the same code as a real one; before each
 * reading its world moves on to the clock's time.
 */
public final class SimulatedBench implements Bench {

    private final World world;
    private final Bench bench;
    private final List<SimulatedPort> ports = new ArrayList<>();

    private SimulatedBench(World world, BenchFile file, Transport transport) {
        this.world = world;
        BenchFile spoken = OwnWords.in(file);
        List<Device> devices = new ArrayList<>();
        List<SerialDevice> supplies = new ArrayList<>();
        Optional<SupplySpec> supply = file.supply();
        for (DeviceSpec spec : file.devices()) {
            if (spec instanceof DeviceSpec.Serial real) {
                DeviceSpec.Serial serial = real.simulated(real.port());
                SimulatedPort port =
                        new SimulatedPort(world, new SimulatedInstrument(world, spoken, serial), serial, transport);
                ports.add(port);
                SerialDevice device = new SerialDevice(spoken, serial, port);
                devices.add(device);
                supply.filter(s -> s.device().equals(serial.name())).ifPresent(s -> supplies.add(device));
            } else {
                devices.add(new SimulatedComputer(world, file, spec.name()));
            }
        }
        Load load = new SimulatedLoad(world, file, watts -> supplies.get(0).setPower(supply.orElseThrow(), watts));
        bench = transport == Transport.IN_PROCESS
                ? new DeviceBench(file, devices, load, name -> new CallersThread())
                : new DeviceBench(file, devices, load);
    }

    /**
     * A simulated bench with the first mount of a fan set, not yet opened.
     *
     * @param file a bench file with a simulation part; its own seed decides what belongs to the bench: the sensors'
     *     offsets, the fans, their mounts
     * @param fanSet the fan set that is mounted
     * @param seed decides what belongs to the night: room, noise, the night's effect
     * @param clock the bench's time; the bench powers on at its present time
     * @param transport how the instruments are reached
     * @return the bench
     * @throws IllegalArgumentException if the file is of no simulated bench, does not know the fan set, or has a channel
     *     whose answer cannot be made
     */
    public static SimulatedBench create(
            BenchFile file, String fanSet, long seed, VirtualClock clock, Transport transport) {
        return create(file, fanSet, 1, seed, clock, transport);
    }

    /**
     * A simulated bench, not yet opened.
     *
     * @param file a bench file with a simulation part; its own seed decides what belongs to the bench: the sensors'
     *     offsets, the fans, their mounts
     * @param fanSet the fan set that is mounted
     * @param mount number of the mount, as in a fans file
     * @param seed decides what belongs to the night: room, noise, the night's effect
     * @param clock the bench's time; the bench powers on at its present time
     * @param transport how the instruments are reached
     * @return the bench
     * @throws IllegalArgumentException if the file is of no simulated bench, does not know the fan set, or has a channel
     *     whose answer cannot be made
     */
    public static SimulatedBench create(
            BenchFile file, String fanSet, int mount, long seed, VirtualClock clock, Transport transport) {
        return new SimulatedBench(new World(file, fanSet, mount, seed, clock, new Faults()), file, transport);
    }

    /** {@return what is so; to be looked at by the thread that reads the bench, between its calls} */
    public Truth truth() {
        return world.truth();
    }

    /** Brings the truth to the clock's time without asking anything, as after the program's end. */
    public void letTimePass() {
        world.letTimePass();
    }

    /** {@return what goes wrong; add to it what shall} */
    public Faults faults() {
        return world.faults();
    }

    @Override
    public BenchFile file() {
        return bench.file();
    }

    @Override
    public List<DeviceIdentity> open() throws BenchException {
        return bench.open();
    }

    @Override
    public Sweep read(long tick) {
        world.tick(tick);
        ports.forEach(SimulatedPort::unplugIfHungUp);
        return bench.read(tick);
    }

    @Override
    public SetResult set(String actuator, double percent) {
        return bench.set(actuator, percent);
    }

    @Override
    public SetResult heatOn(HeatDemand demand) {
        return bench.heatOn(demand);
    }

    @Override
    public SetResult heatOff() {
        return bench.heatOff();
    }

    @Override
    public String heard(String device) {
        return bench.heard(device);
    }

    @Override
    public List<LoadEvent> loadEvents() {
        return bench.loadEvents();
    }

    @Override
    public List<SetResult> makeSafe(boolean pumpOff) {
        return bench.makeSafe(pumpOff);
    }

    @Override
    public void close() {
        bench.close();
        ports.forEach(SimulatedPort::close);
    }
}
