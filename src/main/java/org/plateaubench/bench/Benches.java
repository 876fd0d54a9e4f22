package org.plateaubench.bench;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.atomic.AtomicReference;
import java.util.function.Function;
import java.util.function.Supplier;
import org.plateaubench.bench.load.Loads;
import org.plateaubench.bench.serial.Ports;
import org.plateaubench.bench.serial.SerialDevice;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;

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
        for (DeviceSpec spec : file.devices()) {
            if (spec instanceof DeviceSpec.Serial serial) {
                devices.add(new SerialDevice(file, serial, Ports.of(serial)));
            } else if (spec instanceof DeviceSpec.Computer computer) {
                devices.add(computers.apply(computer));
            }
        }
        AtomicReference<DeviceBench> bench = new AtomicReference<>();
        bench.set(new DeviceBench(
                file, devices, new Loads(file, logs, watts -> bench.get().setSupply(watts))));
        return bench.get();
    }
}
