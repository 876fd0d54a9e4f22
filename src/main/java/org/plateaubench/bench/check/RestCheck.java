package org.plateaubench.bench.check;

import static org.plateaubench.bench.check.Check.fix;
import static org.plateaubench.bench.check.Check.note;
import static org.plateaubench.bench.check.Check.ok;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.stream.Collectors;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.ChannelSpec.Source;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.sample.Quality;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Unit;

/** Each channel of a bench at rest: no heat, everything at its safe duty. Is it read, and can it be true? */
final class RestCheck {

    private static final double COLDEST_ROOM_CELSIUS = 0.0;
    private static final double WARMEST_ROOM_CELSIUS = 45.0;
    /** Evaporation and radiation cannot cool a loop by more than this below the air around it. Judgement, no source. */
    private static final double COLDER_THAN_ROOM_KELVIN = 2.0;

    private static final double WARM_LOOP_KELVIN = 3.0;
    private static final double PROBES_APART_KELVIN = 0.5;
    /** Faster than any fan or pump of a computer: edges that are not the rotor's. Judgement, no source. */
    private static final double FASTEST_RPM = 12_000.0;

    private static final double FANS_APART = 0.3;

    private final BenchFile file;
    private final List<Readout> rest;
    private final Function<String, String> heard;
    private final Map<String, String> lines = new HashMap<>();
    private final List<Check> checks = new ArrayList<>();

    /**
     * A check of readings.
     *
     * @param file the bench
     * @param rest readings at rest, at least one
     * @param heard what a device's line brings, by the device's name; asked once each
     */
    RestCheck(BenchFile file, List<Readout> rest, Function<String, String> heard) {
        this.file = file;
        this.rest = rest;
        this.heard = heard;
    }

    List<Check> checks() {
        file.channels().forEach(this::channel);
        apart(BenchFile.AMBIENT);
        apart(BenchFile.COOLANT);
        fansApart();
        return checks;
    }

    private double mean(ChannelSpec channel) {
        int column = file.indexOf(channel.name());
        return rest.stream()
                .mapToDouble(r -> r.value(column))
                .filter(v -> !Double.isNaN(v))
                .average()
                .orElse(Double.NaN);
    }

    private void channel(ChannelSpec channel) {
        int column = file.indexOf(channel.name());
        Map<Quality, Integer> qualities = new EnumMap<>(Quality.class);
        for (Readout readout : rest) {
            qualities.merge(readout.sample().quality(column), 1, Integer::sum);
        }
        int good = qualities.getOrDefault(Quality.GOOD, 0);
        if (good == 0) {
            checks.add(fix(channel.name(), bad(channel, qualities), remedy(channel, qualities)));
            return;
        }
        String found = indicated(channel, column);
        if (good < rest.size()) {
            checks.add(note(channel.name(), found + "; but " + counts(qualities), remedy(channel, qualities)));
            return;
        }
        double mean = mean(channel);
        Optional<Check> implausible = implausible(channel, mean, found);
        checks.add(implausible.orElseGet(() -> unstated(channel, found).orElse(ok(channel.name(), found))));
    }

    private String bad(ChannelSpec channel, Map<Quality, Integer> qualities) {
        boolean asked = qualities.containsKey(Quality.GARBLED) || qualities.containsKey(Quality.MISSING);
        String line = asked ? lines.computeIfAbsent(channel.device(), heard) : "";
        return "no good reading: " + counts(qualities) + (line.isEmpty() ? "" : "; " + line);
    }

    private static String counts(Map<Quality, Integer> qualities) {
        return qualities.entrySet().stream()
                .filter(e -> e.getKey() != Quality.GOOD)
                .map(e -> e.getValue() + " " + e.getKey().text())
                .collect(Collectors.joining(", "));
    }

    private static String remedy(ChannelSpec channel, Map<Quality, Integer> qualities) {
        List<String> remedies = new ArrayList<>();
        qualities.keySet().forEach(quality -> {
            switch (quality) {
                case GOOD -> {}
                case MISSING ->
                    remedies.add(
                            channel.source() instanceof Source.HostFact || channel.source() instanceof Source.HostSensor
                                    ? "see whether this user may read it (hardware-notes/serial.md, permissions)"
                                    : "compare ask with the device's manual; then baud, line-end and timeout");
                case GARBLED ->
                    remedies.add("compare ask with the device's manual; state with match where the number stands in the"
                            + " answer, with decimal-mark that it has a comma");
                case DEVICE_FAULT -> remedies.add("the device says that it has no value: is the probe plugged in?");
                case OUT_OF_RANGE ->
                    remedies.add((channel.valid().isPresent()
                                    ? "outside its valid range " + channel.validText()
                                    : "beyond what anything of its kind can be")
                            + ": see to the probe, or state another range");
                case GONE -> remedies.add("see to plug and cable");
            }
        });
        return String.join("; ", remedies);
    }

    /** What the channel indicates, uncorrected, and how far it spreads. */
    private String indicated(ChannelSpec channel, int column) {
        double low = Double.POSITIVE_INFINITY;
        double high = Double.NEGATIVE_INFINITY;
        double sum = 0;
        int count = 0;
        for (Readout readout : rest) {
            if (readout.sample().quality(column) == Quality.GOOD) {
                double indicated = readout.sample().indicated(column);
                low = Math.min(low, indicated);
                high = Math.max(high, indicated);
                sum += indicated;
                count++;
            }
        }
        Unit unit = channel.unit();
        String symbol = unit.symbol().isEmpty() ? "" : " " + unit.symbol();
        return Decimals.fixed(sum / count, unit.recordedDecimals()) + symbol + ", spread "
                + Decimals.shortest(high - low, unit.recordedDecimals());
    }

    private Optional<Check> implausible(ChannelSpec channel, double mean, String found) {
        String name = channel.name();
        for (Limit limit : file.limits()) {
            if (limit.channel().equals(name) && limit.passedBy(mean)) {
                return Optional.of(fix(
                        name, found + "; at rest already beyond the limit " + limit, "see to the probe, or the limit"));
            }
        }
        if (of(channel, BenchFile.AMBIENT) && !(mean >= COLDEST_ROOM_CELSIUS && mean <= WARMEST_ROOM_CELSIUS)) {
            return Optional.of(
                    fix(name, found + "; no room is like that", "see to the probe: its type, its place, its wiring"));
        }
        if (of(channel, BenchFile.COOLANT) || name.equals(BenchFile.CPU)) {
            return againstRoom(channel, mean, found);
        }
        if (channel.unit() == Unit.RPM && mean > FASTEST_RPM) {
            return Optional.of(fix(
                    name,
                    found + "; no rotor is so fast",
                    "keep the tachometer's wire away from the PWM wire, give it a pull-up and a filter; see pulses per"
                            + " revolution"));
        }
        boolean spins = file.group(BenchFile.FANS).contains(name) || name.equals(BenchFile.PUMP);
        boolean still = rest.get(rest.size() - 1).value(file.indexOf(name)) == 0.0;
        if (spins && still) {
            return Optional.of(fix(
                    name,
                    found + "; it stands still, or its tachometer is not seen, at full safe duty",
                    "see to power, tachometer wire and pull-up; hardware-notes/wiring.md"));
        }
        return Optional.empty();
    }

    private static boolean of(ChannelSpec channel, String role) {
        return channel.name().equals(role) || channel.name().startsWith(role + "-");
    }

    private Optional<Check> againstRoom(ChannelSpec channel, double mean, String found) {
        double room = file.channelsOf(BenchFile.AMBIENT).stream()
                .mapToDouble(this::mean)
                .average()
                .orElse(Double.NaN);
        double above = mean - room;
        if (above < -COLDER_THAN_ROOM_KELVIN) {
            return Optional.of(fix(
                    channel.name(),
                    found + "; " + Decimals.fixed(-above, 1) + " K colder than the room, at rest",
                    "are two probes swapped? then bench calibrate"));
        }
        if (above > WARM_LOOP_KELVIN && !channel.name().equals(BenchFile.CPU)) {
            return Optional.of(note(
                    channel.name(),
                    found + "; " + Decimals.fixed(above, 1) + " K above the room",
                    "check again when the loop is cold: it is still warm, or a probe is off"));
        }
        return Optional.empty();
    }

    /** What the bench file leaves unsaid of a channel that is well otherwise. */
    private Optional<Check> unstated(ChannelSpec channel, String found) {
        boolean temperature = channel.unit().dimension() == Dimension.TEMPERATURE;
        boolean asked = channel.source() instanceof Source.Ask;
        if (temperature && asked && channel.valid().isEmpty()) {
            return Optional.of(
                    note(
                            channel.name(),
                            found,
                            "state valid: [5 °C, 80 °C] or the like, so that a power-on value of 85 °C is not taken for a reading"));
        }
        boolean measured = of(channel, BenchFile.AMBIENT) || of(channel, BenchFile.COOLANT);
        if (measured && channel.uncertainty().isEmpty()) {
            return Optional.of(note(channel.name(), found, "never calibrated: bench calibrate"));
        }
        return Optional.empty();
    }

    private void apart(String role) {
        List<ChannelSpec> probes = file.channelsOf(role);
        double low = probes.stream().mapToDouble(this::mean).min().orElse(Double.NaN);
        double high = probes.stream().mapToDouble(this::mean).max().orElse(Double.NaN);
        if (high - low > PROBES_APART_KELVIN) {
            checks.add(note(
                    "probes " + role,
                    Decimals.fixed(high - low, 2) + " K apart after correction",
                    "put them into one bath: bench calibrate; or the air is not mixed"));
        }
    }

    private void fansApart() {
        List<ChannelSpec> fans = file.group(BenchFile.FANS).stream()
                .flatMap(name -> file.channel(name).stream())
                .toList();
        double low = fans.stream().mapToDouble(this::mean).min().orElse(Double.NaN);
        double high = fans.stream().mapToDouble(this::mean).max().orElse(Double.NaN);
        if (low > 0 && high - low > FANS_APART * low) {
            checks.add(note(
                    "group fans",
                    "from " + Decimals.fixed(low, 0) + " to " + Decimals.fixed(high, 0) + " rpm at one duty",
                    "are they of one model? a tachometer that reads double or half has other pulses per revolution"));
        }
    }
}
