package org.plateaubench.bench.sim;

import java.util.List;
import org.plateaubench.bench.Device;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;

/** The computer of a simulated bench: its sensors and facts. */
final class SimulatedComputer implements Device {

    private final World world;
    private final String name;
    private final List<ChannelSpec> channels;

    SimulatedComputer(World world, BenchFile file, String name) {
        this.world = world;
        this.name = name;
        this.channels =
                file.channels().stream().filter(c -> c.device().equals(name)).toList();
    }

    @Override
    public String name() {
        return name;
    }

    @Override
    public DeviceIdentity open() {
        return new DeviceIdentity(name, "simulated computer", "simulated");
    }

    @Override
    public DeviceReadings read(long tick) {
        return new DeviceReadings(channels.stream().map(this::reading).toList(), List.of(), 0);
    }

    private Reading reading(ChannelSpec channel) {
        if (world.suffers(Kind.SILENT, name)) {
            return Reading.none(Quality.MISSING);
        }
        double value = world.value(channel);
        if (Double.isNaN(value)) {
            return Reading.none(Quality.DEVICE_FAULT);
        }
        return Reading.of(value, channel.unit(), channel.believes(value) ? Quality.GOOD : Quality.OUT_OF_RANGE);
    }

    @Override
    public SetResult set(ActuatorSpec actuator, double percent) {
        return new SetResult(
                actuator.name(),
                Decimals.fixed(percent, 2) + " %",
                false,
                "",
                "the simulated computer drives no outputs");
    }

    @Override
    public void close() {}
}
