package org.plateaubench.bench;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.regex.Pattern;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.units.Unit;

/** Makes small bench files for tests. */
public final class BenchFiles {

    private BenchFiles() {}

    /** {@return a serial device with line feeds and a timeout of 300 ms} */
    public static DeviceSpec.Serial serial(String name, String port, DeviceSpec.Dialect dialect, String identity) {
        return new DeviceSpec.Serial(
                name,
                port,
                115200,
                dialect,
                "\n",
                identity.isEmpty() ? Optional.empty() : Optional.of(identity),
                300,
                OptionalDouble.empty());
    }

    /** {@return a channel that is asked for over a line} */
    public static ChannelSpec channel(String name, String device, String question, Unit unit) {
        return channel(name, device, question, "", unit, OptionalInt.empty(), Optional.empty());
    }

    /** {@return a channel that is asked for over a line; an empty match is none} */
    public static ChannelSpec channel(
            String name,
            String device,
            String question,
            String match,
            Unit unit,
            OptionalInt tachometerPulses,
            Optional<Range> valid) {
        return new ChannelSpec(
                name,
                device,
                new ChannelSpec.Source.Ask(
                        question, match.isEmpty() ? Optional.empty() : Optional.of(Pattern.compile(match))),
                unit,
                tachometerPulses,
                0.0,
                Optional.empty(),
                Optional.empty(),
                valid,
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                Optional.empty());
    }

    /** {@return a bench of these} */
    public static BenchFile of(
            List<? extends DeviceSpec> devices, List<ChannelSpec> channels, List<ActuatorSpec> actuators) {
        return new BenchFile(
                "test bench",
                List.of(),
                new ArrayList<>(devices),
                channels,
                List.of(),
                actuators,
                List.of(),
                Optional.empty(),
                List.of(),
                Optional.empty(),
                Optional.empty());
    }
}
