package org.plateaubench.benchfile;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.plateaubench.benchfile.ChannelSpec.Source;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Unit;

/** Checks that need more than one part of a bench file. */
final class BenchFileChecks {

    /** With less, fans or pump are not safe under heat. */
    private static final double LEAST_SAFE_PERCENT = 20.0;

    private static final String SIMULATED = "simulated";

    private final BenchFile file;
    private final Yaml root;
    private final Problems problems;
    private final boolean devicesKnown;

    private BenchFileChecks(BenchFile file, Document document) {
        this.file = file;
        this.root = document.root().orElseThrow();
        this.problems = document.problems();
        this.devicesKnown = !problems.within("devices");
    }

    static void check(BenchFile file, Document document) {
        new BenchFileChecks(file, document).check();
    }

    private void check() {
        file.devices().stream().filter(d -> d instanceof DeviceSpec.Serial).forEach(d -> serial((DeviceSpec.Serial) d));
        file.channels().forEach(this::channel);
        file.actuators().forEach(this::actuator);
        file.supply().ifPresent(supply -> {
            Yaml node = root.at("supply");
            serialDevice(supply.device(), node.at("device"), "the supply");
            supply.readback().ifPresent(r -> question(supply.device(), r, node.at("readback")));
            matched(supply.device(), supply.readback(), supply.match(), node);
            command(supply.device(), supply.set(), node.at("set"), "{watt}");
        });
        ports();
        groups();
        complete();
        LimitReader.check(file.limits(), file, root, problems, problems);
        if (devicesKnown) {
            simulated();
        }
    }

    // ---- devices

    private void serial(DeviceSpec.Serial device) {
        Yaml node = root.at("devices", device.name());
        if (problems.within(node.path())) {
            return;
        }
        device.bootCount().ifPresent(q -> question(device.name(), q, node.at("boot-count")));
        heard(device, node);
        if (device.decimalComma() && device.dialect() != DeviceSpec.Dialect.TEXT) {
            problems.conflict(
                    node.at("decimal-mark"),
                    ProblemCode.CONTRADICTION,
                    "only a device of dialect text may write a comma for a decimal point",
                    "decimal-mark: point, or dialect: text");
        }
        if (device.dialect() != DeviceSpec.Dialect.MODBUS) {
            return;
        }
        device.identity()
                .filter(i -> ModbusRegister.Content.parse(i)
                        .filter(ModbusRegister.Content::stated)
                        .isEmpty())
                .ifPresent(i -> problems.conflict(
                        node.at("identity"),
                        ProblemCode.WRONG_VALUE,
                        "a Modbus device has no identity to be asked for",
                        "a register and the number that only this device holds there, such as \"unit 17 holding 0 uint16 ="
                                + " 4711\""));
        for (String key : List.of("line-end", "checksum")) {
            if (node instanceof Yaml.Mapping mapping && mapping.value(key).isPresent()) {
                problems.conflict(
                        node.at(key),
                        ProblemCode.CONTRADICTION,
                        "Modbus has frames and a checksum of its own",
                        "no " + key + " here");
            }
        }
    }

    /** A cut-off acts when nothing is asked; where nothing is there to be asked it acts in the middle of a night. */
    private void heard(DeviceSpec.Serial device, Yaml node) {
        boolean cutoff = device.silenceCutoffSeconds().isPresent()
                || file.supply()
                        .filter(s ->
                                s.device().equals(device.name()) && s.cutoff().isPresent())
                        .isPresent();
        boolean asked = !file.columnsOf(device.name()).isEmpty()
                || device.bootCount().isPresent()
                || device.identity().isPresent()
                || device.dialect() == DeviceSpec.Dialect.SCPI;
        if (cutoff && !asked && !problems.within("channels")) {
            problems.addIn(
                    node.head(),
                    node,
                    ProblemCode.NOTHING_TO_ASK,
                    "this device has a cut-off, and nothing to be asked meanwhile: it would act in the middle of a night",
                    "",
                    "a readback, a channel or an identity of this device");
        }
    }

    // ---- channels and actuators

    private void channel(ChannelSpec channel) {
        Yaml node = root.at("channels", channel.name());
        if (problems.within(node.path())) {
            return;
        }
        Optional<DeviceSpec> device = device(channel.device(), node.at("device"));
        boolean asked = channel.source() instanceof Source.Ask;
        if (device.isPresent() && asked != device.get() instanceof DeviceSpec.Serial) {
            problems.conflict(
                    node.at("device"),
                    ProblemCode.WRONG_DEVICE,
                    asked
                            ? "this channel is asked over a serial line, but " + channel.device() + " is a computer"
                            : "this channel is read from a computer, but " + channel.device() + " is a serial device",
                    asked
                            ? "a device with a port" + withPort() + ", or sensor or fact instead of ask"
                            : "a device with computer, or ask instead of sensor or fact");
        }
        if (channel.source() instanceof Source.Ask ask) {
            question(channel.device(), ask.question(), node.at("ask"));
            matched(channel.device(), Optional.of(ask.question()), ask.match(), node);
        }
        role(channel, BenchFile.AMBIENT, Dimension.TEMPERATURE, node);
        role(channel, BenchFile.COOLANT, Dimension.TEMPERATURE, node);
        role(channel, BenchFile.CPU, Dimension.TEMPERATURE, node);
        role(channel, BenchFile.POWER, Dimension.POWER, node);
        if (file.actuator(channel.name()).isPresent()) {
            sameName(node, "a channel and an actuator", channel.name(), "the channel: the actuator");
        }
        supplysName(node, "a channel", channel.name());
    }

    private void supplysName(Yaml node, String what, String name) {
        if (file.supply().isPresent() && name.equals(BenchFile.SUPPLY)) {
            sameName(node, what + " and the supply", name, "it: the supply");
        }
    }

    private void sameName(Yaml node, String what, String name, String other) {
        problems.addIn(
                node.head(),
                node,
                ProblemCode.NAME_TWICE,
                what + " have the same name",
                name,
                "another name for " + other + "'s readback is recorded under its own");
    }

    private void role(ChannelSpec channel, String role, Dimension dimension, Yaml node) {
        boolean several = role.equals(BenchFile.AMBIENT) || role.equals(BenchFile.COOLANT);
        boolean named =
                channel.name().equals(role) || (several && channel.name().startsWith(role + "-"));
        if (named && channel.unit().dimension() != dimension) {
            problems.conflict(
                    node.at("unit"),
                    ProblemCode.WRONG_DIMENSION,
                    "a channel called " + role + (several ? " or " + role + "-..." : "") + " is " + dimension.noun(),
                    "a unit such as " + Needs.unitExample(dimension) + ", or another name for this channel");
        }
    }

    private void actuator(ActuatorSpec actuator) {
        Yaml node = root.at("actuators", actuator.name());
        if (problems.within(node.path())) {
            return;
        }
        serialDevice(actuator.device(), node.at("device"), "an actuator");
        supplysName(node, "an actuator", actuator.name());
        actuator.readback().ifPresent(r -> question(actuator.device(), r, node.at("readback")));
        matched(actuator.device(), actuator.readback(), actuator.match(), node);
        command(actuator.device(), actuator.set(), node.at("set"), "{percent}");
        if (actuator.safePercent() < LEAST_SAFE_PERCENT) {
            problems.conflict(
                    node.at("safe"),
                    ProblemCode.OUT_OF_RANGE,
                    "this duty does not make a hot loop safe",
                    Decimals.shortest(LEAST_SAFE_PERCENT, 0) + " % or more; 100 % is best");
        }
    }

    private Optional<DeviceSpec> device(String name, Yaml node) {
        Optional<DeviceSpec> device =
                file.devices().stream().filter(d -> d.name().equals(name)).findFirst();
        if (device.isEmpty() && devicesKnown) {
            List<String> names = file.devices().stream().map(DeviceSpec::name).toList();
            problems.unknownName(node, ProblemCode.UNKNOWN_DEVICE, "the bench has no device ", name, names);
        }
        return devicesKnown ? device : Optional.empty();
    }

    private void serialDevice(String name, Yaml node, String what) {
        if (device(name, node).filter(d -> d instanceof DeviceSpec.Computer).isPresent()) {
            problems.conflict(
                    node,
                    ProblemCode.WRONG_DEVICE,
                    what + " is set over a serial line",
                    "a device with a port" + withPort());
        }
    }

    /** The serial devices by name, in brackets; nothing where there is none. */
    private String withPort() {
        String names = file.devices().stream()
                .filter(DeviceSpec.Serial.class::isInstance)
                .map(DeviceSpec::name)
                .collect(Collectors.joining(", "));
        return names.isEmpty() ? "" : " (" + names + ")";
    }

    private boolean speaks(String device, DeviceSpec.Dialect dialect) {
        return devicesKnown
                && file.devices().stream()
                        .anyMatch(d ->
                                d instanceof DeviceSpec.Serial s && s.name().equals(device) && s.dialect() == dialect);
    }

    private void question(String device, String question, Yaml node) {
        if (problems.within(node.path())) {
            return;
        }
        ascii(question, node);
        if (speaks(device, DeviceSpec.Dialect.SCPI) && !question.contains("?")) {
            problems.conflict(
                    node,
                    ProblemCode.WRONG_VALUE,
                    "a SCPI question without a question mark is never answered",
                    "a question mark behind its header, such as MEAS:TEMP? (@1)");
        }
        String fault = ModbusRegister.fault(question);
        if (speaks(device, DeviceSpec.Dialect.MODBUS) && !fault.isEmpty()) {
            problems.conflict(
                    node,
                    ProblemCode.WRONG_VALUE,
                    fault,
                    "it written like "
                            + (node.path().startsWith("actuators")
                                    ? "unit 17 holding 40 uint16 scale 0.01, the register that is set"
                                    : "unit 17 input 30 int16 scale 0.1"));
        }
    }

    private void command(String device, String command, Yaml node, String hole) {
        if (problems.within(node.path())) {
            return;
        }
        ascii(command, node);
        if (!speaks(device, DeviceSpec.Dialect.MODBUS)) {
            return;
        }
        String needed = "it written like unit 17 holding 40 uint16 scale 0.01 = " + hole;
        Optional<ModbusRegister.Content> content = ModbusRegister.Content.parse(command);
        if (content.isEmpty()) {
            problems.conflict(node, ProblemCode.WRONG_VALUE, ModbusRegister.Content.fault(command), needed);
        } else if (!content.get().value().equals(hole)) {
            problems.conflict(node, ProblemCode.WRONG_VALUE, "a register holds a number and nothing else", needed);
        } else if (content.get().register().table() == ModbusRegister.Table.INPUT) {
            problems.conflict(node, ProblemCode.WRONG_VALUE, "an input register can only be read", needed);
        }
    }

    /** A pattern needs an answer in words to match. */
    private void matched(String device, Optional<String> question, Optional<Pattern> match, Yaml node) {
        if (match.isPresent() && question.isEmpty()) {
            problems.conflict(
                    node.at("match"),
                    ProblemCode.CONTRADICTION,
                    "there is nothing that this could match",
                    "a readback, or no match");
        } else if (match.isPresent() && speaks(device, DeviceSpec.Dialect.MODBUS)) {
            problems.conflict(
                    node.at("match"), ProblemCode.CONTRADICTION, "a register is a number already", "no match here");
        }
    }

    private void ascii(String command, Yaml node) {
        if (!StandardCharsets.US_ASCII.newEncoder().canEncode(command)) {
            problems.conflict(
                    node,
                    ProblemCode.WRONG_VALUE,
                    "this command has a letter that no device understands",
                    "ASCII letters, digits and signs only");
        }
    }

    // ---- the whole

    private void ports() {
        List<String> seen = new ArrayList<>();
        for (DeviceSpec device : file.devices()) {
            if (device instanceof DeviceSpec.Serial serial && !serial.port().equals(SIMULATED)) {
                if (seen.contains(serial.port())) {
                    problems.conflict(
                            root.at("devices", serial.name(), "port"),
                            ProblemCode.NAME_TWICE,
                            "two devices have the same port",
                            "a port of its own for each device");
                }
                seen.add(serial.port());
            }
        }
    }

    private void groups() {
        List<String> channels = file.channels().stream().map(ChannelSpec::name).toList();
        for (BenchFile.Group group : file.groups()) {
            for (int i = 0; i < group.channels().size(); i++) {
                String member = group.channels().get(i);
                Yaml node = root.at("groups", group.name(), i);
                Optional<ChannelSpec> channel = file.channel(member);
                if (problems.within(node.path())) {
                    continue;
                }
                if (group.channels().indexOf(member) < i) {
                    problems.conflict(
                            node,
                            ProblemCode.NAME_TWICE,
                            "this channel stands in the group twice",
                            "each channel once");
                } else if (channel.isEmpty()) {
                    problems.unknownName(
                            node, ProblemCode.UNKNOWN_CHANNEL, "the bench has no channel ", member, channels);
                } else if (group.name().equals(BenchFile.FANS)
                        && channel.get().unit() != Unit.RPM
                        && !problems.within("channels." + member)) {
                    problems.conflict(
                            node,
                            ProblemCode.WRONG_DIMENSION,
                            "the group fans holds a channel that is no speed",
                            "a channel with tachometer");
                }
            }
        }
    }

    private void complete() {
        need("channels", !file.channelsOf(BenchFile.AMBIENT).isEmpty(), "channel ambient", "air at the fans' intake");
        need("channels", !file.channelsOf(BenchFile.COOLANT).isEmpty(), "channel coolant", "the liquid's temperature");
        need("channels", file.channel(BenchFile.PUMP).isPresent(), "channel pump", "the pump's tachometer");
        need("groups", !file.group(BenchFile.FANS).isEmpty(), "group fans", "the fans' tachometers");
        need("actuators", file.actuator(BenchFile.FAN_DUTY).isPresent(), "actuator fan-duty", "the fans' duty");
        need("actuators", file.actuator(BenchFile.PUMP_DUTY).isPresent(), "actuator pump-duty", "the pump's duty");
        file.channel(BenchFile.PUMP)
                .filter(p -> p.unit() != Unit.RPM && !problems.within("channels.pump"))
                .ifPresent(p -> problems.addIn(
                        root.at("channels", "pump").head(),
                        root.at("channels", "pump"),
                        ProblemCode.WRONG_DIMENSION,
                        "the channel pump is no speed",
                        "",
                        "a tachometer, such as tachometer: 2 per revolution"));
    }

    private void need(String part, boolean there, String what, String why) {
        Yaml node = root.at(part);
        if (!there && node.path().equals(part) && !problems.within(part)) {
            problems.addIn(
                    node.head(), node, ProblemCode.BENCH_INCOMPLETE, "the " + what + " is missing", "", "it: " + why);
        }
    }

    // ---- simulated or real

    private void simulated() {
        boolean bench = file.simulation().isPresent();
        for (DeviceSpec device : file.devices()) {
            boolean simulated = device instanceof DeviceSpec.Computer computer
                    ? computer.simulated()
                    : ((DeviceSpec.Serial) device).port().equals(SIMULATED);
            Yaml node = root.at("devices", device.name());
            half(bench, simulated, node.at(device instanceof DeviceSpec.Computer ? "computer" : "port"));
        }
        for (WorkloadSpec workload : file.workloads()) {
            half(bench, workload instanceof WorkloadSpec.Simulated, root.at("workloads", workload.name()));
        }
    }

    private void half(boolean benchSimulated, boolean partSimulated, Yaml node) {
        if (benchSimulated && !partSimulated) {
            problems.add(
                    node,
                    ProblemCode.HALF_SIMULATED,
                    "a real part on a simulated bench",
                    node.text(),
                    "simulated here, or a bench file without simulation");
        } else if (partSimulated && !benchSimulated) {
            problems.add(
                    node,
                    ProblemCode.HALF_SIMULATED,
                    "a simulated part on a real bench",
                    node.text(),
                    "a real part here, or simulation, with its start and seed, at the top of the bench file");
        }
    }
}
