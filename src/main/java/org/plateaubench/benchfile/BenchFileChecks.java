package org.plateaubench.benchfile;

import java.util.List;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;

/** Checks that need more than one part of a bench file. */
final class BenchFileChecks {

    private final BenchFile file;
    private final Yaml root;
    private final Problems problems;

    private BenchFileChecks(BenchFile file, Yaml root, Problems problems) {
        this.file = file;
        this.root = root;
        this.problems = problems;
    }

    static void check(BenchFile file, Document document) {
        BenchFileChecks checks = new BenchFileChecks(file, document.root().orElseThrow(), document.problems());
        checks.namesOfDevices();
    }

    private void namesOfDevices() {
        List<String> devices = file.devices().stream().map(DeviceSpec::name).toList();
        for (ChannelSpec channel : file.channels()) {
            device(devices, channel.device(), root.at("channels", channel.name(), "device"));
        }
        for (ActuatorSpec actuator : file.actuators()) {
            device(devices, actuator.device(), root.at("actuators", actuator.name(), "device"));
        }
        file.supply().ifPresent(s -> device(devices, s.device(), root.at("supply", "device")));
    }

    private void device(List<String> devices, String device, Yaml node) {
        if (!device.isEmpty() && !devices.contains(device) && !problems.within("devices")) {
            problems.add(
                    node,
                    ProblemCode.UNKNOWN_DEVICE,
                    "there is no device " + device,
                    "",
                    "one of " + String.join(", ", devices));
        }
    }
}
