package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Consumer;
import java.util.function.Predicate;
import java.util.function.ToDoubleFunction;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.record.RecordedNight;

/** What must hold of the bench itself. Times are those that design and program state, with a few ticks on top. */
final class SafetyChecks {

    private static final double PUMP_BROKEN_SECONDS = 3;
    private static final double STALL_SECONDS = 10;
    private static final double UNREAD_SECONDS = 30;
    private static final double GONE_SECONDS = 60;
    private static final double FROZEN_SECONDS = 180;
    private static final double CUTOFF_SECONDS = 10;
    /** So long is it tried to make a bench safe that does not answer. */
    private static final double SAFE_AGAIN_SECONDS = 5;

    private static final double RESETS_SECONDS = 3600;
    private static final double STANDS_BELOW_RPM = 50;
    private static final double MAY_STAND_PERCENT = 31;

    /** A sensor's offset and three spreads of its noise. */
    private static final double COOLANT_MARGIN_KELVIN = 0.5;

    private static final double CPU_MARGIN_KELVIN = 3.5;
    private static final double SPEED_MARGIN = 0.03;

    private SafetyChecks() {}

    /** A few ticks, for what takes one tick to be seen and one to be acted on. */
    static double ticks(Story story, int count) {
        return count * story.periodSeconds() + 1;
    }

    /** Heat that the program can do something about. */
    static Predicate<TruthRow> heated(Facts facts) {
        return row -> row.heated()
                && !facts.any(Kind.HEAT_STAYS, row.millis(), row.millis() + 1)
                && !facts.any(Kind.IGNORES_POWER, row.millis(), row.millis() + 1);
    }

    static String at(Stretch s) {
        return " from " + Dice.text(s.fromMillis() / 1000.0) + " s (tick "
                + s.first().tick() + ") to " + Dice.text(s.toMillis() / 1000.0) + " s";
    }

    static void flow(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        for (Stretch s : Stretch.of(story.rows(), heated(facts).and(row -> row.pumpRpm() < STANDS_BELOW_RPM))) {
            boolean unread = facts.mayBeUnread(BenchFile.PUMP, s.fromMillis(), s.toMillis());
            double allowed = (unread ? UNREAD_SECONDS : PUMP_BROKEN_SECONDS) + ticks(story, 4);
            if (!facts.mayLie(BenchFile.PUMP, s.fromMillis(), s.toMillis()) && s.seconds(facts) > allowed) {
                breach.accept("heat with the pump at rest" + at(s) + ", allowed " + allowed + " s");
            }
        }
        for (Stretch s : Stretch.of(
                story.rows(), heated(facts).and(row -> row.fansStand() && row.fanDutyPercent() > MAY_STAND_PERCENT))) {
            List<String> fans = bench.group(BenchFile.FANS);
            boolean lies = fans.stream().anyMatch(f -> facts.mayLie(f, s.fromMillis(), s.toMillis()));
            boolean unread = fans.stream().anyMatch(f -> facts.mayBeUnread(f, s.fromMillis(), s.toMillis()));
            double allowed = (unread ? GONE_SECONDS : STALL_SECONDS) + ticks(story, 4);
            if (!lies && s.seconds(facts) > allowed) {
                breach.accept("heat with all fans at rest" + at(s) + ", allowed " + allowed + " s");
            }
        }
    }

    // ---- limits

    private static Optional<ToDoubleFunction<TruthRow>> truthOf(String channel) {
        return Optional.ofNullable(
                switch (channel) {
                    case BenchFile.COOLANT -> TruthRow::coolantCelsius;
                    case "coolant-in" -> row -> row.coolantCelsius() - row.gainKelvin() / 2;
                    case "coolant-out" -> row -> row.coolantCelsius() + row.gainKelvin() / 2;
                    case BenchFile.CPU -> TruthRow::sourceCelsius;
                    case BenchFile.PUMP -> TruthRow::pumpRpm;
                    case "leak" -> row -> row.leaking() ? 3.1 : 0.1;
                    default -> null;
                });
    }

    private static double margin(Limit limit) {
        return switch (limit.channel()) {
            case BenchFile.CPU -> CPU_MARGIN_KELVIN;
            case BenchFile.PUMP -> SPEED_MARGIN * limit.threshold().inBase();
            case "leak" -> 0.1;
            default -> COOLANT_MARGIN_KELVIN;
        };
    }

    static void limits(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        for (Limit limit : story.files().plan().limitsOn(story.files().bench())) {
            Optional<ToDoubleFunction<TruthRow>> truth = truthOf(limit.channel());
            if (truth.isEmpty()) {
                continue;
            }
            double margin = limit.side() == Limit.Side.ABOVE ? margin(limit) : -margin(limit);
            Predicate<TruthRow> beyond = row -> limit.passedBy(truth.get().applyAsDouble(row) - margin);
            Predicate<TruthRow> wrong = limit.pumpOff()
                    ? beyond.and(heated(facts).or(row -> row.tick() >= 0 && row.pumpDutyPercent() > 0))
                    : beyond.and(heated(facts));
            for (Stretch s : Stretch.of(story.rows(), wrong)) {
                boolean unread = facts.mayBeUnread(limit.channel(), s.fromMillis(), s.toMillis());
                double allowed = limit.forSeconds() + (unread ? UNREAD_SECONDS : 0) + ticks(story, 4);
                if (!facts.mayLie(limit.channel(), s.fromMillis(), s.toMillis()) && s.seconds(facts) > allowed) {
                    breach.accept("limit " + limit + " passed" + at(s) + ", allowed " + allowed + " s");
                }
            }
        }
    }

    // ---- devices and channels that say nothing

    static List<String> neededDevices(Story story) {
        BenchFile bench = story.files().bench();
        List<String> devices = new ArrayList<>();
        bench.actuators().stream().map(ActuatorSpec::device).forEach(devices::add);
        bench.channelsOf(BenchFile.COOLANT).stream().map(ChannelSpec::device).forEach(devices::add);
        if (story.files()
                .plan()
                .heat()
                .filter(HeatDemand.Power.class::isInstance)
                .isPresent()) {
            bench.supply().ifPresent(s -> devices.add(s.device()));
        }
        return devices.stream().distinct().toList();
    }

    static void lost(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        for (String device : neededDevices(story)) {
            for (Mishap m : facts.mishaps()) {
                if (!m.target().equals(device) || !(m.is(Kind.HANG_UP) || m.is(Kind.SILENT))) {
                    continue;
                }
                boolean supply = story.files()
                        .bench()
                        .supply()
                        .filter(s -> s.device().equals(device))
                        .isPresent();
                double allowed = ticks(story, m.is(Kind.SILENT) ? 6 : 3) + (supply ? CUTOFF_SECONDS + 1 : 0);
                Predicate<TruthRow> wrong =
                        heated(facts).and(row -> row.millis() >= m.fromMillis() && row.millis() < m.toMillis());
                for (Stretch s : Stretch.of(story.rows(), wrong)) {
                    if (s.seconds(facts) > allowed) {
                        breach.accept("heat while " + m + at(s) + ", allowed " + allowed + " s");
                    }
                }
            }
        }
        waits(story, facts, breach);
    }

    /** A needed device that does not come back ends the run. */
    private static void waits(Story story, Facts facts, Consumer<String> breach) {
        long last = lastTickMillis(story);
        for (String device : neededDevices(story)) {
            for (Mishap m : facts.mishaps()) {
                if (m.target().equals(device)
                        && m.is(Kind.HANG_UP)
                        && story.files().bench().actuators().stream()
                                .anyMatch(a -> a.device().equals(device))) {
                    double most = GONE_SECONDS + ticks(story, 4);
                    Stretch wait = stretch(story, m.fromMillis(), Math.min(m.toMillis(), last));
                    if (wait != null && wait.seconds(facts) > most) {
                        breach.accept("the run went on while " + m + at(wait) + ", allowed " + most + " s");
                    }
                }
            }
        }
    }

    private static Stretch stretch(Story story, long fromMillis, long toMillis) {
        List<Stretch> found = Stretch.of(
                story.rows(), row -> row.tick() >= 0 && row.millis() >= fromMillis && row.millis() <= toMillis);
        return found.isEmpty() ? null : found.get(0);
    }

    static long lastTickMillis(Story story) {
        return story.rows().stream()
                .filter(r -> r.tick() >= 0)
                .mapToLong(TruthRow::millis)
                .max()
                .orElse(0);
    }

    /** True if a mishap leaves a channel without any number as long as it lasts. */
    static boolean silences(Mishap m, ChannelSpec channel) {
        boolean asked = channel.source() instanceof ChannelSpec.Source.Ask;
        if (m.target().equals(channel.name())) {
            return m.is(Kind.NO_NUMBER) || asked && (m.is(Kind.DECIMAL_COMMA) || m.is(Kind.NUL_BYTE));
        }
        return m.target().equals(channel.device()) && (m.is(Kind.SILENT) || asked && m.is(Kind.GARBAGE));
    }

    static void unread(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        List<String> limited = story.files().plan().limitsOn(bench).stream()
                .map(Limit::channel)
                .toList();
        List<ChannelSpec> needed = new ArrayList<>(bench.channelsOf(BenchFile.COOLANT));
        needed.addAll(bench.channelsOf(BenchFile.AMBIENT));
        bench.channel(BenchFile.PUMP).ifPresent(needed::add);
        for (ChannelSpec channel : bench.channels()) {
            for (Mishap m : facts.mishaps()) {
                if (!silences(m, channel)) {
                    continue;
                }
                Predicate<TruthRow> during =
                        row -> row.tick() >= 0 && row.millis() >= m.fromMillis() && row.millis() < m.toMillis();
                if (limited.contains(channel.name())) {
                    for (Stretch s : Stretch.of(story.rows(), during.and(heated(facts)))) {
                        if (s.seconds(facts) > UNREAD_SECONDS + ticks(story, 4)) {
                            breach.accept("heat while " + m + " and " + channel.name() + " has a limit" + at(s));
                        }
                    }
                }
                for (Stretch s : Stretch.of(story.rows(), during)) {
                    if (needed.contains(channel)
                            && s.seconds(facts) > GONE_SECONDS + ticks(story, 6)
                            && alone(facts, m, s.fromMillis(), s.toMillis())) {
                        breach.accept("the run went on while " + m + at(s));
                    }
                }
            }
        }
    }

    // ---- frozen sensors, stalled fans, resets

    static void frozen(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        boolean strong = story.files()
                .plan()
                .heat()
                .filter(h -> !(h instanceof HeatDemand.Power p && p.watts() < 50))
                .isPresent();
        for (Mishap m : facts.all(Kind.FROZEN)) {
            Optional<ChannelSpec> channel = story.files().bench().channel(m.target());
            if (m.target().equals(BenchFile.COOLANT) && strong) {
                frozenCoolant(story, facts, m, breach);
            }
            channel.filter(c -> c.frozenAfterSeconds().isPresent()).ifPresent(c -> {
                double most = c.frozenAfterSeconds().getAsDouble() + ticks(story, 4);
                Stretch s = stretch(story, m.fromMillis(), m.toMillis());
                if (s != null && s.seconds(facts) > most && alone(facts, m, s.fromMillis(), s.toMillis())) {
                    breach.accept("the run went on while " + m + at(s) + ", allowed " + most + " s");
                }
            });
        }
    }

    private static void frozenCoolant(Story story, Facts facts, Mishap m, Consumer<String> breach) {
        List<TruthRow> rows = story.rows();
        long lastChange = Long.MIN_VALUE / 2;
        for (int i = 1; i < rows.size() && rows.get(i).tick() >= 0; i++) {
            if (rows.get(i).heated() == rows.get(i - 1).heated()) {
                continue;
            }
            long now = rows.get(i - 1).millis();
            long seen = now + StrictMath.round((FROZEN_SECONDS + ticks(story, 4)) * 1000);
            boolean covered = m.fromMillis() < now - 2000 && m.toMillis() > seen;
            boolean steady = now - lastChange > (FROZEN_SECONDS + ticks(story, 4)) * 1000;
            lastChange = now;
            boolean changedAgain = false;
            for (int j = i + 1; j < rows.size() && rows.get(j).millis() <= seen; j++) {
                changedAgain |= rows.get(j).heated() != rows.get(i).heated();
            }
            if (covered
                    && steady
                    && !changedAgain
                    && lastTickMillis(story) > seen
                    && alone(facts, m, now - 200_000, seen)) {
                breach.accept("the run went on while " + m + ", although the heat changed at " + now / 1000.0 + " s");
            }
        }
    }

    /** True if nothing else goes wrong meanwhile. */
    private static boolean alone(Facts facts, Mishap m, long fromMillis, long toMillis) {
        return facts.mishaps().stream().noneMatch(o -> !o.equals(m) && o.overlaps(fromMillis, toMillis));
    }

    static void stalls(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        List<RecordedNight.Row> samples = story.samples();
        List<Long> standing = samples.stream()
                .filter(r -> List.of("sweep", "spin", "start-stop").contains(r.stage()))
                .map(r -> r.sample().tick())
                .toList();
        // Before the first setting nobody knows what duty drives the fans.
        long set = story.journal().stream()
                .filter(l -> BenchFile.FAN_DUTY.equals(l.get("target")) && l.containsKey("input"))
                .mapToLong(l -> ((Number) l.get("tick")).longValue())
                .findFirst()
                .orElse(Long.MAX_VALUE);
        List<String> fans = bench.group(BenchFile.FANS);
        for (int i = 0; i < fans.size(); i++) {
            int fan = i;
            Predicate<TruthRow> stalled = row -> row.tick() >= set
                    && row.fanRpm()[fan] == 0.0
                    && row.fanDutyPercent() > MAY_STAND_PERCENT
                    && !standing.contains(row.tick());
            for (Stretch s : Stretch.of(story.rows(), stalled)) {
                long from = s.fromMillis();
                long to = s.toMillis();
                boolean excused = facts.mayLie(fans.get(fan), from, to)
                        || facts.mayBeUnread(fans.get(fan), from, to)
                        || facts.any(Kind.IGNORES_DUTY, BenchFile.FAN_DUTY, 0, to)
                        || facts.mishaps().stream()
                                .anyMatch(m -> m.overlaps(from, to)
                                        && bench.devices().stream()
                                                .anyMatch(d -> d.name().equals(m.target())));
                if (!excused && s.seconds(facts) > STALL_SECONDS + ticks(story, 4)) {
                    breach.accept("the run went on although " + fans.get(fan) + " stands" + at(s));
                }
            }
        }
    }

    static void resets(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        boolean readback =
                bench.actuator(BenchFile.FAN_DUTY).orElseThrow().readback().isPresent();
        String device = bench.actuator(BenchFile.FAN_DUTY).orElseThrow().device();
        if (!readback || facts.any(Kind.IGNORES_DUTY, 0, Long.MAX_VALUE)) {
            return;
        }
        List<Long> seen = new ArrayList<>();
        for (Mishap m : facts.all(Kind.RESET_OUTPUTS)) {
            TruthRow before = null;
            for (TruthRow row : story.rows()) {
                if (row.millis() < m.fromMillis()) {
                    before = row;
                }
            }
            boolean quiet = facts.mishaps().stream()
                    .noneMatch(o ->
                            !o.is(Kind.RESET_OUTPUTS) && o.overlaps(m.fromMillis() - 30_000, m.fromMillis() + 30_000));
            boolean apart = seen.isEmpty() || m.fromMillis() - seen.get(seen.size() - 1) > 1000 * ticks(story, 4);
            if (before != null && m.target().equals(device) && before.fanDutyPercent() < 99 && quiet && apart) {
                seen.add(m.fromMillis());
            }
        }
        for (int i = 2; i < seen.size(); i++) {
            double most = ticks(story, 4);
            if (seen.get(i) - seen.get(i - 2) < RESETS_SECONDS * 1000
                    && lastTickMillis(story) > seen.get(i) + most * 1000) {
                breach.accept("the run went on after the outputs fell back at " + seen + " ms");
            }
        }
    }

    // ---- the end

    static void asked(Story story, Consumer<String> breach) throws IOException {
        atThatTick(story, breach);
        Facts facts = new Facts(story.scenario());
        for (Map.Entry<Long, String> asked : story.asked()) {
            Stretch after = stretch(story, asked.getKey(), Long.MAX_VALUE);
            boolean hangUp = asked.getValue().equals("SIGNALHUP");
            if (!hangUp && after != null && after.seconds(facts) > ticks(story, 2)) {
                breach.accept("asked by " + asked.getValue() + " at " + asked.getKey() + " ms, it went on" + at(after));
            }
            if (hangUp && story.end().filter(e -> e.reason().contains("HUP")).isPresent()) {
                breach.accept("a closed terminal ended the run");
            }
        }
    }

    /** What was asked for at a tick ends the run at this tick. */
    private static void atThatTick(Story story, Consumer<String> breach) throws IOException {
        Optional<Map<String, Object>> request = story.journal().stream()
                .filter(l -> List.of("operator", "storage", "signal").contains(String.valueOf(l.get("input"))))
                .filter(l -> !"HUP".equals(l.get("name")))
                .findFirst();
        boolean ended = story.journal().stream()
                .anyMatch(l -> "end".equals(l.get("decision"))
                        && request.filter(r -> r.get("tick").equals(l.get("tick")))
                                .isPresent());
        if (request.isPresent() && !ended) {
            breach.accept("not ended by " + request.get());
        }
    }

    static void ends(Story story, Consumer<String> breach) {
        story.thrown().filter(Eyes.Endless.class::isInstance).ifPresent(e -> breach.accept(e.getMessage()));
    }

    static void thrown(Story story, Consumer<String> breach) {
        story.thrown().filter(e -> !(e instanceof Eyes.Endless)).ifPresent(e -> {
            StackTraceElement[] trace = e.getStackTrace();
            breach.accept(e + (trace.length > 0 ? " at " + trace[0] : ""));
        });
    }

    static void offAfterEnd(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        long end = lastTickMillis(story);
        String supply = story.files().bench().supply().map(s -> s.device()).orElse("");
        boolean deaf = !supply.isEmpty() && facts.mayBeOutOfReach(supply, end - 20_000, end + 60_000);
        double allowed = deaf ? CUTOFF_SECONDS + SAFE_AGAIN_SECONDS + ticks(story, 2) : 0;
        for (TruthRow row : story.rows()) {
            if (row.tick() < 0 && heated(facts).test(row) && (row.millis() - end) / 1000.0 > allowed + 1) {
                breach.accept("heat at " + row.millis() / 1000.0 + " s, after the end at " + end / 1000.0 + " s");
                return;
            }
        }
    }

    static void safeAfterEnd(Story story, Consumer<String> breach) {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        TruthRow last =
                story.rows().isEmpty() ? null : story.rows().get(story.rows().size() - 1);
        if (last == null || story.end().isEmpty()) {
            return;
        }
        for (String name : List.of(BenchFile.FAN_DUTY, BenchFile.PUMP_DUTY)) {
            ActuatorSpec actuator = bench.actuator(name).orElseThrow();
            double duty = name.equals(BenchFile.FAN_DUTY) ? last.fanDutyPercent() : last.pumpDutyPercent();
            boolean cutoff = bench.devices().stream()
                    .anyMatch(d -> d instanceof DeviceSpec.Serial s
                            && s.name().equals(actuator.device())
                            && s.silenceCutoffSeconds().isPresent());
            boolean stopped =
                    name.equals(BenchFile.PUMP_DUTY) && story.end().get().pumpOff() && duty == 0;
            boolean safe = duty > actuator.safePercent() - 0.01 || stopped;
            boolean ignored = facts.any(Kind.IGNORES_DUTY, name, 0, last.millis());
            long end = lastTickMillis(story);
            boolean deaf = !cutoff && facts.mayBeOutOfReach(actuator.device(), end - 20_000, end + 60_000);
            if (!safe && !ignored && !deaf) {
                breach.accept(name + " is at " + duty + " % after the end");
            }
        }
        leak(story, facts, breach);
    }

    /** A leak stops the pump, until hardware that hears nothing any more starts it again. */
    private static void leak(Story story, Facts facts, Consumer<String> breach) {
        if (!story.end().orElseThrow().pumpOff()) {
            return;
        }
        long end = lastTickMillis(story);
        String device = story.files()
                .bench()
                .actuator(BenchFile.PUMP_DUTY)
                .orElseThrow()
                .device();
        boolean excused = facts.mayBeOutOfReach(device, end - 20_000, end + 10_000)
                || facts.any(Kind.IGNORES_DUTY, BenchFile.PUMP_DUTY, end - 1000, end + 10_000)
                || facts.any(Kind.RESET_OUTPUTS, end - 1000, end + 10_000);
        for (TruthRow row : story.rows()) {
            boolean soon = row.tick() < 0 && row.millis() - end < 8000;
            if (soon && row.pumpDutyPercent() > 0 && !excused) {
                breach.accept("the pump is at " + row.pumpDutyPercent() + " % after a leak");
                return;
            }
        }
    }
}
