package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.function.Consumer;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SupplySpec;

/** What must follow on the bench from what the journal says was commanded, was not done, or has happened to a device. */
final class CommandChecks {

    private static final double CUTOFF_SECONDS = 10;
    private static final double SAFE_AGAIN_SECONDS = 5;
    private static final double GONE_SECONDS = 60;
    /** So many ticks after its return a device has its outputs back. */
    private static final int BACK_TICKS = 3;

    private static final int LOOK_TICKS = 8;
    private static final double SAME_PERCENT = 0.5;

    private CommandChecks() {}

    private static long tick(Map<String, Object> line) {
        return ((Number) line.getOrDefault("tick", -1L)).longValue();
    }

    private static boolean is(Map<String, Object> line, String field, String value) {
        return value.equals(line.get(field));
    }

    private static List<Map<String, Object>> results(Story story, String target) throws IOException {
        return story.journal().stream()
                .filter(l -> is(l, "input", "command-result") && is(l, "target", target))
                .toList();
    }

    /** Heat that was switched off goes off, even if that must be said again. */
    static void off(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        NavigableMap<Long, TruthRow> rows = story.byTick();
        if (rows.isEmpty()) {
            return;
        }
        SupplySpec supply = story.files().bench().supply().orElse(null);
        List<Map<String, Object>> heat = results(story, "heat");
        for (int i = 0; i < heat.size(); i++) {
            boolean last = i + 1 == heat.size();
            long from = tick(heat.get(i));
            long to = last ? rows.lastKey() : tick(heat.get(i + 1)) - 1;
            while (!last && is(heat.get(i), "asked", "off") && is(heat.get(i + 1), "asked", "off")) {
                last = ++i + 1 == heat.size();
                to = last ? rows.lastKey() : tick(heat.get(i + 1)) - 1;
            }
            if (!is(heat.get(i), "asked", "off") || to < from) {
                continue;
            }
            List<TruthRow> meanwhile =
                    new ArrayList<>(rows.subMap(from, true, to, true).values());
            boolean ignored = facts.any(
                    Kind.IGNORES_POWER,
                    rows.firstEntry().getValue().millis(),
                    rows.lastEntry().getValue().millis());
            for (Stretch s : Stretch.of(meanwhile, TruthRow::heated)) {
                boolean stays = facts.any(Kind.HEAT_STAYS, s.fromMillis() - 1000, s.toMillis());
                boolean unseen =
                        supply != null && supply.readback().isEmpty() && facts.any(Kind.IGNORES_POWER, 0, s.toMillis());
                boolean deaf =
                        supply != null && facts.mayBeOutOfReach(supply.device(), s.fromMillis() - 10_000, s.toMillis());
                double allowed = SafetyChecks.ticks(story, 5) + (deaf ? CUTOFF_SECONDS + SAFE_AGAIN_SECONDS : 0);
                // A supply that does not answer either is waited for; so is one that nobody could know again.
                boolean renamed = supply != null && facts.any(Kind.RENAMED, supply.device(), 0, s.toMillis());
                allowed += deaf && (ignored || renamed) ? GONE_SECONDS : 0;
                if (!stays && !unseen && s.seconds(facts) > allowed) {
                    breach.accept("heat that was switched off at tick " + from + SafetyChecks.at(s) + ", allowed "
                            + allowed + " s");
                }
            }
        }
    }

    /** Heat that could not be switched on is known not to be on. */
    static void refused(Story story, Consumer<String> breach) throws IOException {
        for (Map<String, Object> result : results(story, "heat")) {
            if (Boolean.TRUE.equals(result.get("done")) || is(result, "asked", "off")) {
                continue;
            }
            long tick = tick(result);
            String pass = story.samples().stream()
                    .filter(r -> r.sample().tick() == tick)
                    .map(r -> r.pass())
                    .findFirst()
                    .orElse("");
            boolean known = story.journal().stream()
                    .anyMatch(l -> tick(l) == tick && (is(l, "decision", "pass-spoiled") || is(l, "decision", "end")));
            if (!pass.isEmpty() && !known) {
                breach.accept("the pass " + pass + " goes on although " + result);
            }
        }
    }

    /** What a device was set to is set again when it is back, with the heat off. */
    static void setAgain(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        NavigableMap<Long, TruthRow> rows = story.byTick();
        List<String> needed = SafetyChecks.neededDevices(story);
        for (Map<String, Object> line : story.journal()) {
            boolean back = is(line, "input", "device") && (is(line, "event", "back") || is(line, "event", "restarted"));
            if (is(line, "decision", "reset") || back && needed.contains(String.valueOf(line.get("device")))) {
                long tick = tick(line);
                coldUntilNext(story, facts, tick, breach);
                if (back) {
                    duties(story, facts, rows, line, tick, breach);
                }
            }
        }
        for (Map<String, Object> line : story.journal()) {
            if (is(line, "input", "device")
                    && (is(line, "event", "gone") || is(line, "event", "other-identity"))
                    && needed.contains(String.valueOf(line.get("device")))) {
                coldUntilNext(story, facts, tick(line), breach);
            }
        }
    }

    /** No heat from the second tick after something until heat is asked for again. */
    private static void coldUntilNext(Story story, Facts facts, long tick, Consumer<String> breach) throws IOException {
        NavigableMap<Long, TruthRow> rows = story.byTick();
        long next = Long.MAX_VALUE;
        for (Map<String, Object> result : results(story, "heat")) {
            if (tick(result) > tick + 1 && !is(result, "asked", "off")) {
                next = Math.min(next, tick(result));
            }
        }
        SupplySpec supply = story.files().bench().supply().orElse(null);
        List<TruthRow> meanwhile = new ArrayList<>(
                rows.subMap(tick + 2, true, Math.max(tick + 2, next), false).values());
        for (Stretch s : Stretch.of(meanwhile, SafetyChecks.heated(facts))) {
            boolean deaf =
                    supply != null && facts.mayBeOutOfReach(supply.device(), s.fromMillis() - 10_000, s.toMillis());
            boolean unseen =
                    supply != null && supply.readback().isEmpty() && facts.any(Kind.IGNORES_POWER, 0, s.toMillis());
            boolean renamed = supply != null && facts.any(Kind.RENAMED, supply.device(), 0, s.toMillis());
            double allowed = SafetyChecks.ticks(story, deaf ? 5 : 1)
                    + (deaf ? CUTOFF_SECONDS + SAFE_AGAIN_SECONDS + (renamed ? GONE_SECONDS : 0) : 0);
            if (!unseen && s.seconds(facts) > allowed) {
                breach.accept("heat after what happened at tick " + tick + SafetyChecks.at(s));
                return;
            }
        }
    }

    private static void duties(
            Story story,
            Facts facts,
            NavigableMap<Long, TruthRow> rows,
            Map<String, Object> back,
            long tick,
            Consumer<String> breach)
            throws IOException {
        for (String name : List.of(BenchFile.FAN_DUTY, BenchFile.PUMP_DUTY)) {
            ActuatorSpec actuator = story.files().bench().actuator(name).orElseThrow();
            if (!is(back, "device", actuator.device())) {
                continue;
            }
            for (TruthRow row : rows.subMap(tick + BACK_TICKS, true, tick + LOOK_TICKS, true)
                    .values()) {
                String asked = results(story, name).stream()
                        .filter(r -> tick(r) <= row.tick())
                        .map(r -> String.valueOf(r.get("asked")))
                        .reduce("", (before, after) -> after);
                double duty = name.equals(BenchFile.FAN_DUTY) ? row.fanDutyPercent() : row.pumpDutyPercent();
                long began = rows.get(tick) == null ? 0 : rows.get(tick).millis();
                // Without a needed channel nothing is set until it is read again.
                boolean blind = story.files().bench().channels().stream()
                        .anyMatch(c -> facts.mayBeUnread(c.name(), began - 1000, row.millis()));
                boolean excused = asked.isEmpty()
                        || blind
                        || facts.any(Kind.IGNORES_DUTY, name, 0, row.millis())
                        || facts.mayBeOutOfReach(actuator.device(), began, row.millis())
                        || facts.any(Kind.RESET_OUTPUTS, actuator.device(), began, row.millis() + 1)
                        || facts.paused(began - 20_000, row.millis());
                if (!excused && Math.abs(duty - Double.parseDouble(asked.replace(" %", ""))) > SAME_PERCENT) {
                    breach.accept(name + " is at " + duty + " % in tick " + row.tick() + ", asked was " + asked
                            + ", after " + back);
                    return;
                }
            }
        }
    }
}
