package org.plateaubench.hostile;

import java.io.IOException;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.function.ToDoubleFunction;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/**
 * What must follow as soon as something has happened or is known. Another rule would often do the same a little later;
 * that is no reason to be late.
 */
final class AtOnceChecks {

    private static final int MOST_SAFE_ATTEMPTS = 5;
    private static final long QUIET_MILLIS = 30_000;
    private static final double SAME_PERCENT = 1;
    /** No thermometer and no rotor of any bench reads beyond these. */
    private static final double COLDEST_CELSIUS = -60;

    private static final double HOTTEST_CELSIUS = 160;
    private static final double FASTEST_RPM = 21_000;
    /** One reading that is off by so much among right ones is no leap of anything real. */
    private static final double OUTLIER_KELVIN = 5;

    private static final double RIGHT_KELVIN = 2;

    private AtOnceChecks() {}

    private static long tick(Map<String, Object> line) {
        return ((Number) line.getOrDefault("tick", -1L)).longValue();
    }

    private static boolean is(Map<String, Object> line, String field, String value) {
        return value.equals(line.get(field));
    }

    private static boolean event(Map<String, Object> line, String input, String... events) {
        return is(line, "input", input) && List.of(events).contains(String.valueOf(line.get("event")));
    }

    /** True if there is such a decision at a tick, or the run ends there. */
    private static boolean decided(Story story, long from, long to, String decision) throws IOException {
        return story.journal().stream()
                .filter(l -> tick(l) >= from && tick(l) <= to)
                .anyMatch(l -> is(l, "decision", decision) || is(l, "decision", "end"));
    }

    // ---- passes

    /** A pass is spoiled in the tick in which it is known that it cannot count. */
    static void spoils(Story story, Consumer<String> breach) throws IOException {
        List<String> needed = SafetyChecks.neededDevices(story);
        Map<Long, String> passes = new TreeMap<>();
        for (RecordedNight.Row row : story.samples()) {
            passes.put(row.sample().tick(), row.pass());
        }
        for (Map<String, Object> line : story.journal()) {
            boolean lost = event(line, "device", "gone", "other-identity", "restarted")
                    && needed.contains(String.valueOf(line.get("device")));
            boolean failed = event(line, "load", "failed");
            String pass = passes.getOrDefault(tick(line), "");
            if ((lost || failed || is(line, "input", "resume"))
                    && !pass.isEmpty()
                    && !decided(story, tick(line), tick(line), "pass-spoiled")) {
                breach.accept("the pass " + pass + " goes on after " + line);
            }
        }
    }

    // ---- resets

    /** Outputs that may not be as they were set are known to be so at once. */
    static void resets(Story story, Consumer<String> breach) throws IOException {
        List<String> needed = SafetyChecks.neededDevices(story);
        Set<String> gone = new TreeSet<>();
        for (Map<String, Object> line : story.journal()) {
            String device = String.valueOf(line.get("device"));
            if (is(line, "input", "resume")) {
                gone.clear();
            } else if (event(line, "device", "gone", "other-identity")) {
                gone.add(device);
            } else if (event(line, "device", "back")) {
                gone.remove(device);
            }
            boolean back = event(line, "device", "back", "restarted") && needed.contains(device);
            boolean notSet = is(line, "input", "command-result")
                    && !is(line, "target", "heat")
                    && !Boolean.TRUE.equals(line.get("done"))
                    && gone.isEmpty();
            if ((back || notSet) && !decided(story, tick(line), tick(line), "reset")) {
                breach.accept("nothing is set anew after " + line);
            }
        }
        for (String name : List.of(BenchFile.FAN_DUTY, BenchFile.PUMP_DUTY)) {
            readBack(story, story.files().bench().actuator(name).orElseThrow(), breach);
        }
    }

    /** Outputs that fell back and are read back. */
    private static void readBack(Story story, ActuatorSpec actuator, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        if (actuator.readback().isEmpty() || facts.any(Kind.IGNORES_DUTY, 0, Long.MAX_VALUE)) {
            return;
        }
        boolean fans = actuator.name().equals(BenchFile.FAN_DUTY);
        List<TruthRow> rows = List.copyOf(story.byTick().values());
        for (Mishap m : facts.all(Kind.RESET_OUTPUTS)) {
            boolean alone = facts.mishaps().stream()
                    .noneMatch(o -> o != m && o.overlaps(m.fromMillis() - QUIET_MILLIS, m.toMillis() + QUIET_MILLIS));
            for (int i = 1; i < rows.size() && alone && m.target().equals(actuator.device()); i++) {
                TruthRow before = rows.get(i - 1);
                TruthRow after = rows.get(i);
                if (before.millis() >= m.fromMillis() || after.millis() < m.fromMillis()) {
                    continue;
                }
                long first = before.tick();
                boolean set = story.journal().stream()
                        .anyMatch(l -> is(l, "target", actuator.name())
                                && is(l, "input", "command-result")
                                && tick(l) >= first - 1
                                && tick(l) <= first + 3);
                double fell = fans
                        ? after.fanDutyPercent() - before.fanDutyPercent()
                        : after.pumpDutyPercent() - before.pumpDutyPercent();
                boolean seen = rows.size() > i + 3;
                if (!set && seen && Math.abs(fell) > SAME_PERCENT && !decided(story, first, first + 4, "reset")) {
                    breach.accept(actuator.name() + " went by " + fell + " % by " + m + ", and nothing is set anew");
                }
            }
        }
    }

    /** After a reset or a gap there is no heat before the pump has been locked anew. */
    static void locks(Story story, Consumer<String> breach) throws IOException {
        long unlocked = -1;
        boolean gap = false;
        for (Map<String, Object> line : story.journal()) {
            gap |= is(line, "input", "resume");
            if (gap && is(line, "decision", "stage")) {
                gap = false;
                if (!is(line, "stage", "pump-lock")) {
                    breach.accept("after a gap comes " + line);
                }
            }
            if (is(line, "decision", "reset") || is(line, "input", "resume")) {
                unlocked = tick(line);
            } else if (is(line, "decision", "pump-locked")) {
                unlocked = -1;
            } else if (unlocked >= 0
                    && tick(line) > unlocked + 1
                    && is(line, "input", "command-result")
                    && is(line, "target", "heat")
                    && !is(line, "asked", "off")) {
                breach.accept(
                        "heat at tick " + tick(line) + ", but the pump has not been locked since tick " + unlocked);
            }
        }
    }

    /** Who goes on with a night switches the heat off before the first tick. */
    static void goesOnCold(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        SupplySpec supply = story.files().bench().supply().orElse(null);
        for (Map<String, Object> line : story.journal()) {
            TruthRow row = is(line, "input", "resume") ? story.byTick().get(tick(line)) : null;
            if (row == null || !row.heated()) {
                continue;
            }
            boolean excused = facts.any(Kind.HEAT_STAYS, 0, row.millis() + 1)
                    || supply != null
                            && (supply.readback().isEmpty() && facts.any(Kind.IGNORES_POWER, 0, row.millis() + 1)
                                    || facts.mayBeOutOfReach(supply.device(), row.millis() - 20_000, row.millis()));
            if (!excused) {
                breach.accept("heat at tick " + row.tick() + ", the first after a gap");
            }
        }
    }

    // ---- the end

    /** From the moment on in which a signal has made the bench safe, it stays so. */
    static void staysSafe(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        Optional<Long> signal = story.asked().stream()
                .filter(a ->
                        a.getValue().startsWith(Mishap.SIGNAL) && !a.getValue().endsWith("HUP"))
                .map(Map.Entry::getKey)
                .findFirst();
        if (signal.isEmpty()) {
            return;
        }
        long from = signal.get();
        for (TruthRow row : story.byTick().values()) {
            if (row.millis() < from) {
                continue;
            }
            boolean deaf = bench.supply()
                    .filter(s -> facts.mayBeOutOfReach(s.device(), from - 20_000, row.millis()))
                    .isPresent();
            if (SafetyChecks.heated(facts).test(row) && !deaf && !facts.any(Kind.IGNORES_POWER, 0, row.millis())) {
                breach.accept("heat at tick " + row.tick() + ", after a signal made the bench safe at " + from + " ms");
            }
            for (String name : List.of(BenchFile.FAN_DUTY, BenchFile.PUMP_DUTY)) {
                ActuatorSpec actuator = bench.actuator(name).orElseThrow();
                double duty = name.equals(BenchFile.FAN_DUTY) ? row.fanDutyPercent() : row.pumpDutyPercent();
                boolean excused = facts.any(Kind.IGNORES_DUTY, name, 0, row.millis())
                        || facts.mayBeOutOfReach(actuator.device(), from - 20_000, row.millis());
                if (duty < actuator.safePercent() - 0.01 && !excused) {
                    breach.accept(name + " is at " + duty + " % in tick " + row.tick()
                            + ", after a signal made the bench safe at " + from + " ms");
                }
            }
        }
    }

    /** A bench that could not be made safe is made safe again, so many times. */
    static void triesAgain(Story story, Consumer<String> breach) throws IOException {
        boolean ended = false;
        boolean safe = true;
        int attempts = 0;
        for (Map<String, Object> line : story.journal()) {
            ended |= is(line, "decision", "end");
            if (ended && line.containsKey("safe")) {
                attempts += is(line, "target", "heat") ? 1 : 0;
                safe = (safe || is(line, "target", "heat")) && Boolean.TRUE.equals(line.get("done"));
            }
        }
        if (story.end().isPresent() && !safe && attempts < MOST_SAFE_ATTEMPTS) {
            breach.accept("it was tried " + attempts + " times only to make the bench safe");
        }
    }

    // ---- readings

    /** What cannot be so is marked in the very reading. */
    static void readings(Story story, Consumer<String> breach) throws IOException {
        BenchFile bench = story.files().bench();
        List<ChannelSpec> channels = bench.channels();
        List<RecordedNight.Row> samples = story.samples();
        for (int i = 0; i < samples.size(); i++) {
            for (int c = 0; c < channels.size(); c++) {
                Reading reading = samples.get(i).sample().readings().get(c);
                ChannelSpec channel = channels.get(c);
                double value = reading.value();
                boolean beyond = channel.unit() == Unit.CELSIUS && (value < COLDEST_CELSIUS || value > HOTTEST_CELSIUS)
                        || channel.tachometerPulses().isPresent() && value > FASTEST_RPM;
                if (reading.good() && (beyond || outlier(story, channel, samples, i, c))) {
                    breach.accept("a good reading of " + channel.name() + " at tick "
                            + samples.get(i).sample().tick() + ": " + value);
                    return;
                }
            }
        }
    }

    private static boolean outlier(
            Story story, ChannelSpec channel, List<RecordedNight.Row> samples, int at, int column) {
        boolean air = channel.name().equals(BenchFile.AMBIENT);
        if (at == 0 || at + 1 == samples.size() || !(air || channel.name().equals(BenchFile.COOLANT))) {
            return false;
        }
        ToDoubleFunction<RecordedNight.Row> off = row -> {
            TruthRow truth = story.byTick().get(row.sample().tick());
            Reading reading = row.sample().readings().get(column);
            return truth == null || !reading.good()
                    ? Double.NaN
                    : Math.abs(reading.value() - (air ? truth.ambientCelsius() : truth.coolantCelsius()));
        };
        return off.applyAsDouble(samples.get(at)) > OUTLIER_KELVIN
                && off.applyAsDouble(samples.get(at - 1)) < RIGHT_KELVIN
                && off.applyAsDouble(samples.get(at + 1)) < RIGHT_KELVIN;
    }
}
