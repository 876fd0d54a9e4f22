package org.plateaubench.bench;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.DoubleFunction;
import java.util.function.Function;
import java.util.function.Supplier;
import org.plateaubench.bench.load.Loads;
import org.plateaubench.bench.serial.Ports;
import org.plateaubench.bench.serial.SerialDevice;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.units.Decimals;

/** Puts benches together from bench files. */
public final class Benches {

    private Benches() {}

    /**
     * A bench of real devices, not yet opened.
     *
     * @param file the bench file
     * @param logs gives the folder for what local loads print; asked when a load starts
     * @param computers makes a device of a computer
     * @return the bench
     */
    public static Bench real(BenchFile file, Supplier<Path> logs, Function<DeviceSpec.Computer, Device> computers) {
        List<Device> devices = new ArrayList<>();
        DoubleFunction<SetResult> setWatts = watts ->
                new SetResult("heat", Decimals.fixed(watts, 2) + " W", false, "", "the bench has no serial supply");
        for (DeviceSpec spec : file.devices()) {
            if (spec instanceof DeviceSpec.Serial serial) {
                SerialDevice device = new SerialDevice(file, serial, Ports.of(serial));
                devices.add(device);
                if (file.supply().filter(s -> s.device().equals(serial.name())).isPresent()) {
                    setWatts = watts -> device.setPower(file.supply().get(), watts);
                }
            } else if (spec instanceof DeviceSpec.Computer computer) {
                devices.add(computers.apply(computer));
            }
        }
        return new DeviceBench(file, devices, new Loads(file, logs, setWatts));
    }
}
