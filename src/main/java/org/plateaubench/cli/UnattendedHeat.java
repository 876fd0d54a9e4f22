package org.plateaubench.cli;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.plan.NightFiles;

/** What a bench needs before heat may be left alone with it. */
final class UnattendedHeat {

    private UnattendedHeat() {}

    /**
     * Tells what is missing.
     *
     * @param files the night's files
     * @return one line for each thing, or empty if the bench may be left alone
     */
    static String missing(NightFiles files) {
        if (files.plan().heat().isEmpty()) {
            return "";
        }
        BenchFile bench = files.bench();
        List<String> missing = new ArrayList<>();
        if (files.plan().heat().get() instanceof HeatDemand.Power
                && bench.supply().flatMap(s -> s.cutoff()).isEmpty()) {
            missing.add("the supply has no cut-off; an unattended run needs one, stated as"
                    + " cutoff: { silence: 10 s, by: supply }");
        }
        for (DeviceSpec device : bench.devices()) {
            boolean drives =
                    bench.actuators().stream().map(ActuatorSpec::device).anyMatch(device.name()::equals);
            if (drives
                    && device instanceof DeviceSpec.Serial serial
                    && serial.silenceCutoffSeconds().isEmpty()) {
                missing.add(
                        "device " + device.name() + " drives fans or pump and has no silence cut-off; an unattended run"
                                + " needs one, stated as silence-cutoff: 10 s");
            }
        }
        return String.join("\n", missing);
    }
}
