package org.plateaubench.benchfile;

import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.regex.PatternSyntaxException;
import org.plateaubench.benchfile.ChannelSpec.Source;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.Draft;
import org.plateaubench.problem.Keys;
import org.plateaubench.problem.Need;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.SourceText;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/** Reads a bench file and checks it by itself. Opens no device. */
public final class BenchFileReader {

    private static final Pattern NAME = Pattern.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*");
    private static final Pattern PULSES = Pattern.compile("([1-9]) per revolution");
    private static final String SIMULATED = "simulated";
    private static final double ROOT_THREE = StrictMath.sqrt(3.0);
    private static final int DEFAULT_TIMEOUT_MILLIS = 300;

    private static final Need PERCENT = Need.between("0 %", "100 %");
    private static final Need TIMEOUT = Need.between("10 ms", "5 s");
    private static final Need SILENCE = Need.between("1 s", "10 min");
    private static final Need LAG = Need.between("0 s", "10 min");
    private static final Need FROZEN = Need.between("10 s", "1 h");
    private static final Need FLOOR = Need.between("0 dB", "80 dB");
    private static final Need COVERAGE_FACTOR = Need.between("1", "4");
    private static final Need TIME_CONSTANT = Need.between("10 s", "6 h");
    private static final Need PROBE_LAG = Need.between("0 s", "5 min");
    private static final Need SUPPLY_POWER = Need.between("1 W", "2000 W");
    private static final Need RUN_TIME = Need.between("10 s", "12 h");

    /** What {@code fact:} may name, with what it measures. */
    private enum Fact {
        PROCESSOR_CLOCK(Dimension.FREQUENCY),
        PROCESSOR_POWER(Dimension.POWER),
        PROCESSOR_LOAD(Dimension.RATIO),
        THROTTLE_COUNT(Dimension.NUMBER);

        private final Dimension dimension;

        Fact(Dimension dimension) {
            this.dimension = dimension;
        }
    }

    private final Problems problems;
    private final Keys bench;

    private BenchFileReader(Yaml root, Problems problems) {
        this.problems = problems;
        this.bench = Keys.of(root, problems, "bench: example loop");
    }

    /**
     * Reads a bench file.
     *
     * @param source its text
     * @return the bench, or all problems
     */
    public static Parsed<BenchFile> read(SourceText source) {
        return draft(source).parsed();
    }

    /**
     * Reads a bench file for checks against other files.
     *
     * @param source its text
     * @return the bench with its places and problems
     */
    public static Draft<BenchFile> draft(SourceText source) {
        Document document = Document.of(source);
        Optional<BenchFile> file =
                document.root().map(root -> new BenchFileReader(root, document.problems()).benchFile());
        file.ifPresent(f -> BenchFileChecks.check(f, document));
        return new Draft<>(document, file);
    }

    private BenchFile benchFile() {
        BenchFile file = new BenchFile(
                bench.text("bench", "example loop"),
                facts(),
                devices(),
                channels(),
                groups(),
                actuators(),
                workloads(),
                supply(),
                LimitReader.read(bench, true),
                commissioning(),
                simulation());
        bench.done();
        return file;
    }

    private List<BenchFile.Fact> facts() {
        List<BenchFile.Fact> facts = new ArrayList<>();
        for (Yaml.Entry entry : bench.optionalNamed("configuration", "radiator: 360 mm")) {
            facts.add(new BenchFile.Fact(name(entry), bench.textOf(entry.value())));
        }
        return facts;
    }

    // ---- devices

    private List<DeviceSpec> devices() {
        List<DeviceSpec> devices = new ArrayList<>();
        for (Yaml.Entry entry : bench.named("devices", "host: { computer: this }")) {
            Keys keys = Keys.of(entry.value(), problems, "{ computer: this }");
            String name = name(entry);
            keys.exactlyOne(List.of("port", "computer"))
                    .map(kind -> kind.equals("port") ? serial(name, keys) : computer(name, keys))
                    .ifPresent(devices::add);
            keys.done();
        }
        return devices;
    }

    private DeviceSpec serial(String name, Keys keys) {
        String port = keys.text("port", "/dev/serial/by-id/usb-example");
        int baud = keys.count("baud", 300, 4_000_000);
        DeviceSpec.Parity parity = keys.optionalChoice("parity", List.of(DeviceSpec.Parity.values()), Keys::word)
                .orElse(DeviceSpec.Parity.NONE);
        int stopBits = keys.optionalCount("stop-bits", 1, 2).orElse(1);
        DeviceSpec.Dialect dialect = keys.choice("dialect", List.of(DeviceSpec.Dialect.values()), Keys::word)
                .orElse(DeviceSpec.Dialect.TEXT);
        String lineEnd = keys.optionalChoice("line-end", List.of("lf", "crlf", "cr"), w -> w)
                .orElse("lf")
                .replace("cr", "\r")
                .replace("lf", "\n");
        Optional<DeviceSpec.Checksum> checksum =
                keys.optionalChoice("checksum", List.of(DeviceSpec.Checksum.values()), Keys::word);
        boolean decimalComma = keys.optionalChoice("decimal-mark", List.of("point", "comma"), w -> w)
                .filter("comma"::equals)
                .isPresent();
        Optional<String> identity = keys.optionalText("identity");
        Optional<String> bootCount = keys.optionalText("boot-count");
        double timeout = keys.optionalQuantity("timeout", TIMEOUT).orElse(DEFAULT_TIMEOUT_MILLIS / 1000.0);
        OptionalDouble silence = keys.optionalQuantity("silence-cutoff", SILENCE);
        int timeoutMillis = (int) StrictMath.round(timeout * 1000.0);
        return new DeviceSpec.Serial(
                name,
                port,
                baud,
                parity,
                stopBits,
                dialect,
                lineEnd,
                checksum,
                decimalComma,
                identity,
                bootCount,
                timeoutMillis,
                silence);
    }

    private static DeviceSpec computer(String name, Keys keys) {
        Optional<String> which = keys.choice("computer", List.of("this", SIMULATED), w -> w);
        return new DeviceSpec.Computer(name, which.orElse("").equals(SIMULATED));
    }

    // ---- channels

    private List<ChannelSpec> channels() {
        List<ChannelSpec> channels = new ArrayList<>();
        String example = "ambient: { device: controller, ask: \"MEAS:TEMP? (@1)\", unit: °C }";
        for (Yaml.Entry entry : bench.named("channels", example)) {
            channels.add(
                    channel(name(entry), Keys.of(entry.value(), problems, "{ device: host, fact: throttle-count }")));
        }
        return channels;
    }

    private ChannelSpec channel(String name, Keys keys) {
        String device = keys.text("device", "controller");
        Optional<String> kind = keys.exactlyOne(List.of("ask", "sensor", "fact"));
        Optional<Fact> fact =
                kind.filter("fact"::equals).flatMap(k -> keys.choice("fact", List.of(Fact.values()), Keys::word));
        Source source = kind.map(k -> source(k, keys, fact)).orElse(new Source.HostSensor(""));
        boolean tachometer = !(source instanceof Source.HostFact) && keys.has("tachometer");
        OptionalInt pulses = tachometer ? pulses(keys) : OptionalInt.empty();
        Optional<Unit> unit = tachometer ? Optional.of(Unit.RPM) : unit(keys, kind, fact);
        ChannelSpec channel = new ChannelSpec(
                name,
                device,
                source,
                unit.orElse(Unit.ONE),
                pulses,
                unit.map(u -> correction(keys, u)).orElse(0.0),
                unit.flatMap(u -> uncertainty(keys, u)),
                keys.optionalKeys("calibration", "{ certificate: C-118, due: 2027-03-01 }")
                        .map(BenchFileReader::calibration),
                unit.flatMap(u -> range(keys, u)),
                keys.optionalQuantity("time-constant", LAG),
                keys.optionalQuantity("frozen-after", FROZEN),
                unit.flatMap(u -> level(keys, u)));
        if (unit.isEmpty()) {
            List.of("correction", "uncertainty", "valid", "weighting", "response", "floor")
                    .forEach(keys::find);
        }
        keys.done();
        return channel;
    }

    private OptionalInt pulses(Keys keys) {
        keys.find("unit")
                .ifPresent(unit -> problems.add(
                        unit,
                        ProblemCode.KEYS_EXCLUDE,
                        "a tachometer is always read in rpm",
                        "",
                        "tachometer without unit"));
        return keys.matched("tachometer", PULSES, "2 per revolution")
                .map(m -> OptionalInt.of(Integer.parseInt(m.group(1))))
                .orElse(OptionalInt.empty());
    }

    private Source source(String kind, Keys keys, Optional<Fact> fact) {
        if (kind.equals("ask")) {
            return new Source.Ask(keys.text("ask", "MEAS:TEMP? (@1)"), pattern(keys));
        }
        if (kind.equals("sensor")) {
            return new Source.HostSensor(keys.text("sensor", "coretemp/Package id 0"));
        }
        return new Source.HostFact(fact.map(Keys::word).orElse(""));
    }

    private Optional<Pattern> pattern(Keys keys) {
        return keys.find("match").flatMap(value -> {
            String text = keys.textOf(value);
            String needed = "a regular expression with one group around the number, such as \"^([0-9.]+) dBA$\"";
            try {
                Pattern pattern = Pattern.compile(text);
                if (pattern.matcher("").groupCount() >= 1) {
                    return Optional.of(pattern);
                }
                problems.add(value, ProblemCode.WRONG_VALUE, "this expression has no group", text, needed);
            } catch (PatternSyntaxException e) {
                problems.add(value, ProblemCode.WRONG_VALUE, "this is no regular expression", text, needed);
            }
            return Optional.empty();
        });
    }

    /** The unit as stated; none for a count. Empty after a problem. */
    private Optional<Unit> unit(Keys keys, Optional<String> kind, Optional<Fact> fact) {
        boolean unreadFact = kind.filter("fact"::equals).isPresent() && fact.isEmpty();
        boolean count = fact.filter(f -> f.dimension == Dimension.NUMBER).isPresent();
        if ((count || unreadFact) && !keys.has("unit")) {
            return count ? Optional.of(Unit.ONE) : Optional.empty();
        }
        Dimension usual = fact.filter(f -> !count).map(f -> f.dimension).orElse(Dimension.TEMPERATURE);
        return keys.required("unit", Needs.unitExample(usual)).flatMap(value -> {
            String text = keys.textOf(value);
            Optional<Unit> unit = Unit.of(text).filter(u -> u.dimension() != Dimension.NUMBER);
            if (unit.isEmpty() && !text.isEmpty()) {
                problems.add(
                        value, ProblemCode.UNKNOWN_UNIT, "this unit is not known", text, "one of " + Needs.allUnits());
            }
            boolean fits = fact.isEmpty() || unit.isEmpty() || unit.get().dimension() == fact.get().dimension;
            if (!fits) {
                problems.add(
                        value,
                        ProblemCode.WRONG_DIMENSION,
                        "this fact is " + fact.get().dimension.noun(),
                        text,
                        count ? "no unit here" : "its unit, such as " + Needs.unitExample(usual));
            }
            return unit.filter(u -> fits);
        });
    }

    private static double correction(Keys keys, Unit unit) {
        return inUnit(keys.optionalQuantity("correction", Needs.differences(unit)), unit)
                .orElse(0.0);
    }

    private static OptionalDouble inUnit(OptionalDouble base, Unit unit) {
        return base.isEmpty() ? base : OptionalDouble.of(base.getAsDouble() / unit.toBase());
    }

    private static Optional<ChannelSpec.Uncertainty> uncertainty(Keys channel, Unit unit) {
        Optional<Keys> part = channel.optionalKeys("uncertainty", "{ limits: 0.10 K }");
        if (part.isEmpty()) {
            return Optional.empty();
        }
        Keys keys = part.get();
        Need need = Needs.uncertainty(unit);
        Optional<ChannelSpec.Uncertainty> uncertainty = keys.exactlyOne(List.of("expanded", "limits", "standard"))
                .map(kind -> {
                    String stated = keys.optionalText(kind).orElse("");
                    double half =
                            inUnit(keys.optionalQuantity(kind, need), unit).orElse(Double.NaN);
                    if (kind.equals("expanded")) {
                        double k =
                                keys.number("k", COVERAGE_FACTOR, "2, the coverage factor that the certificate states");
                        String factor = new Quantity(Double.isNaN(k) ? 0 : k, Unit.ONE).toString();
                        return new ChannelSpec.Uncertainty(half / k, "±" + stated + " (k = " + factor + ")");
                    }
                    return kind.equals("limits")
                            ? new ChannelSpec.Uncertainty(
                                    half / ROOT_THREE, ChannelSpec.Uncertainty.LIMITS + " ±" + stated)
                            : new ChannelSpec.Uncertainty(half, "standard uncertainty " + stated);
                });
        keys.done();
        return uncertainty;
    }

    private static ChannelSpec.Calibration calibration(Keys keys) {
        ChannelSpec.Calibration calibration = new ChannelSpec.Calibration(
                keys.text("certificate", "C-118"), keys.date("due").orElse(LocalDate.EPOCH));
        keys.done();
        return calibration;
    }

    private Optional<ChannelSpec.Range> range(Keys keys, Unit unit) {
        Need readings = Needs.readings(unit);
        List<Yaml> ends = keys.optionalList("valid", "[5 °C, 45 °C]");
        if (ends.isEmpty()) {
            return Optional.empty();
        }
        if (ends.size() != 2) {
            problems.add(
                    keys.node().at("valid"),
                    ProblemCode.WRONG_VALUE,
                    "a range has two ends",
                    ends.size() == 1 ? "1 value" : ends.size() + " values",
                    "the lower and the upper end, such as [5 °C, 45 °C]");
            return Optional.empty();
        }
        double low =
                keys.quantityOf(ends.get(0), readings).map(Quantity::inBase).orElse(Double.NaN);
        double high =
                keys.quantityOf(ends.get(1), readings).map(Quantity::inBase).orElse(Double.NaN);
        if (low >= high) {
            problems.add(
                    ends.get(1),
                    ProblemCode.CONTRADICTION,
                    "the upper end of the range is not above the lower",
                    ends.get(1).text(),
                    "more than " + ends.get(0).text());
            return Optional.empty();
        }
        return Optional.of(new ChannelSpec.Range(low / unit.toBase(), high / unit.toBase()));
    }

    private Optional<ChannelSpec.Level> level(Keys keys, Unit unit) {
        if (unit != Unit.DECIBEL) {
            return Optional.empty();
        }
        return Optional.of(new ChannelSpec.Level(
                keys.choice("weighting", List.of("A", "C", "Z"), w -> w).orElse(""),
                keys.text("response", "LAeq 1 s"),
                keys.optionalQuantity("floor", FLOOR)));
    }

    // ---- groups, actuators, loads

    private List<BenchFile.Group> groups() {
        List<BenchFile.Group> groups = new ArrayList<>();
        for (Yaml.Entry entry : bench.named("groups", "fans: [fan-1]")) {
            List<String> members = new ArrayList<>();
            if (entry.value() instanceof Yaml.Sequence sequence
                    && !sequence.items().isEmpty()) {
                sequence.items().forEach(item -> members.add(bench.textOf(item)));
            } else {
                problems.add(
                        entry.value(),
                        ProblemCode.WRONG_KIND,
                        "a group is a list of channels",
                        entry.value().kind(),
                        "a list, such as [fan-1, fan-2]");
            }
            groups.add(new BenchFile.Group(name(entry), members));
        }
        return groups;
    }

    private List<ActuatorSpec> actuators() {
        List<ActuatorSpec> actuators = new ArrayList<>();
        String example = "{ device: controller, set: \"SOUR1:PULS:DCYC {percent}\", safe: 100 % }";
        for (Yaml.Entry entry : bench.named("actuators", "fan-duty: " + example)) {
            Keys keys = Keys.of(entry.value(), problems, example);
            actuators.add(new ActuatorSpec(
                    name(entry),
                    keys.text("device", "controller"),
                    command(keys, "{percent}", "SOUR1:PULS:DCYC {percent}"),
                    keys.optionalText("readback"),
                    pattern(keys),
                    keys.optionalCount("full-scale", 10, 1_000_000),
                    keys.quantity("safe", PERCENT)));
            keys.done();
        }
        return actuators;
    }

    private String command(Keys keys, String hole, String example) {
        String command = keys.text("set", "\"" + example + "\"");
        if (!command.isEmpty()
                && (!command.contains(hole) || command.replace(hole, "").contains("{"))) {
            problems.add(
                    keys.node().at("set"),
                    ProblemCode.WRONG_VALUE,
                    "this command has no place for the number",
                    command,
                    hole + " where the number goes, such as \"" + example + "\"");
        }
        return command;
    }

    private List<WorkloadSpec> workloads() {
        List<WorkloadSpec> workloads = new ArrayList<>();
        String example = "{ run: [make, -j16] }";
        for (Yaml.Entry entry : bench.optionalNamed("workloads", "compile: " + example)) {
            Keys keys = Keys.of(entry.value(), problems, example);
            String name = name(entry);
            keys.exactlyOne(List.of("run", SIMULATED))
                    .map(kind -> kind.equals("run") ? commandLine(name, keys) : simulatedWorkload(name, keys))
                    .ifPresent(workloads::add);
            keys.done();
        }
        return workloads;
    }

    private static WorkloadSpec commandLine(String name, Keys keys) {
        List<String> words = new ArrayList<>();
        keys.list("run", "[make, -j16]").forEach(word -> words.add(keys.textOf(word)));
        return new WorkloadSpec.Command(name, words);
    }

    private static WorkloadSpec simulatedWorkload(String name, Keys workload) {
        Optional<Keys> keys = workload.keys(SIMULATED, "{ power: 200 W, run: 8 min }");
        double watts = keys.map(k -> k.quantity("power", SUPPLY_POWER)).orElse(Double.NaN);
        double runSeconds = keys.map(k -> k.quantity("run", RUN_TIME)).orElse(Double.NaN);
        keys.ifPresent(Keys::done);
        return new WorkloadSpec.Simulated(name, watts, runSeconds);
    }

    private Optional<SupplySpec> supply() {
        return bench.optionalKeys("supply", "{ device: controller, set: \"SOUR3:POW {watt}\" }")
                .map(keys -> {
                    SupplySpec supply = new SupplySpec(
                            keys.text("device", "controller"),
                            command(keys, "{watt}", "SOUR3:POW {watt}"),
                            keys.optionalText("readback"),
                            pattern(keys),
                            keys.optionalKeys("cutoff", "{ silence: 10 s, by: supply }")
                                    .map(BenchFileReader::cutoff));
                    keys.done();
                    return supply;
                });
    }

    private static SupplySpec.Cutoff cutoff(Keys keys) {
        SupplySpec.Cutoff cutoff = new SupplySpec.Cutoff(
                keys.quantity("silence", SILENCE),
                keys.choice("by", List.of("supply", "relay"), w -> w).orElse(""));
        keys.done();
        return cutoff;
    }

    // ---- commissioning, simulation

    private Optional<Commissioning> commissioning() {
        String example = "{ slow-time-constant: 1500 s, fast-time-constant: 380 s, measured: 2026-11-20 }";
        return bench.optionalKeys("commissioning", example).map(keys -> {
            double slow = keys.quantity("slow-time-constant", TIME_CONSTANT);
            double fast = keys.quantity("fast-time-constant", TIME_CONSTANT);
            if (fast >= slow) {
                problems.add(
                        keys.node().at("slow-time-constant"),
                        ProblemCode.CONTRADICTION,
                        "the slow time constant is not longer than the fast one",
                        "",
                        "more than fast-time-constant");
            }
            OptionalDouble probeLag = keys.optionalQuantity("probe-lag", PROBE_LAG);
            if (probeLag.isPresent() && probeLag.getAsDouble() > fast) {
                problems.add(
                        keys.node().at("probe-lag"),
                        ProblemCode.CONTRADICTION,
                        "a probe that lags more than the loop cannot show what the loop feels",
                        "",
                        "fast-time-constant or less");
            }
            LocalDate measured = keys.date("measured").orElse(LocalDate.EPOCH);
            keys.done();
            return new Commissioning(slow, fast, probeLag, measured);
        });
    }

    private Optional<SimulationSpec> simulation() {
        return bench.optionalKeys("simulation", "{ start: \"2026-11-24T22:10:00+01:00\", seed: 1 }")
                .map(keys -> {
                    OffsetDateTime start =
                            keys.dateAndTime("start").orElse(OffsetDateTime.of(2026, 1, 1, 0, 0, 0, 0, ZoneOffset.UTC));
                    long seed = keys.seed("seed");
                    List<SimulationSpec.Setting> settings = keys.optionalKeys("settings", "{ slow-mode-share: 3 % }")
                            .map(k -> settings(k, false))
                            .orElse(List.of());
                    List<SimulationSpec.FanSetTruth> sets = new ArrayList<>();
                    for (Yaml.Entry entry : keys.named("sets", "A: { max-speed: 2000 rpm }")) {
                        Keys set = Keys.of(entry.value(), problems, "{ max-speed: 2000 rpm }");
                        sets.add(new SimulationSpec.FanSetTruth(entry.key(), settings(set, true)));
                    }
                    keys.done();
                    return new SimulationSpec(start, seed, settings, sets);
                });
    }

    private static List<SimulationSpec.Setting> settings(Keys keys, boolean ofSet) {
        List<SimulationSpec.Setting> settings = new ArrayList<>();
        for (SimulationKey key : SimulationKey.values()) {
            if (key.ofSet() == ofSet) {
                keys.optionalQuantity(key.text(), Needs.setting(key))
                        .ifPresent(base -> settings.add(new SimulationSpec.Setting(
                                key, base / key.unit().toBase())));
            }
        }
        keys.done();
        return settings;
    }

    // ---- names

    private String name(Yaml.Entry entry) {
        Matcher matcher = NAME.matcher(entry.key());
        if (!matcher.matches() || entry.key().length() > 40) {
            problems.addIn(
                    entry.keyPlace(),
                    entry.value(),
                    ProblemCode.NOT_A_NAME,
                    "this cannot be a name",
                    entry.key(),
                    "small letters, digits and single dashes, a letter first, at most 40, such as fan-1");
        }
        return entry.key();
    }
}
