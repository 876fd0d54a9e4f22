package org.plateaubench.night;

import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Exit;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordWriter;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.units.Decimals;

/** What lies between the crash of a night and its going on, in this order: see the past, then make the bench safe. */
final class Resumption {

    private final NightFiles files;
    private final Bench bench;
    private final Clock clock;
    private final RecordFolder record;

    /**
     * A resumption.
     *
     * @param files the record's own files
     * @param bench the bench; open before its past is asked for
     * @param clock the night's time
     * @param record the record, cut to its last checkpoint
     */
    Resumption(NightFiles files, Bench bench, Clock clock, RecordFolder record) {
        this.files = files;
        this.bench = bench;
        this.clock = clock;
        this.record = record;
    }

    /**
     * The engine's last word, if the record has it: then only the sealing is left to do, at the time of that word.
     *
     * @return how the night ended; empty if it was cut off before its end
     */
    Optional<Command.End> ended() throws IOException {
        for (Map<String, Object> line : record.journal()) {
            if ("end".equals(line.get("decision"))) {
                if (clock instanceof VirtualClock virtual) {
                    double seconds = ((Number) line.get("tick")).longValue()
                            * files.plan().sampleEverySeconds();
                    virtual.skipTo(Math.round(seconds * 1e9));
                }
                return Optional.of(new Command.End(exit(line), String.valueOf(line.get("reason")), false));
            }
        }
        return Optional.empty();
    }

    private static Exit exit(Map<String, Object> line) {
        for (Exit exit : Exit.values()) {
            if (exit.text().equals(line.get("how"))) {
                return exit;
            }
        }
        throw new IllegalStateException("no run ends '" + line.get("how") + "'");
    }

    /**
     * Feeds an engine what is recorded. A simulated bench goes through it too, then stands alone for the gap.
     *
     * @param simulatedGapSeconds length of that gap on a simulated bench, s
     * @return the past
     */
    Past past(double simulatedGapSeconds) throws IOException, Retrace.OtherRules {
        double period = files.plan().sampleEverySeconds();
        if (clock instanceof VirtualClock virtual) {
            Map<Long, List<Double>> gaps = gapsSeconds();
            Past past = Past.of(files, record, (row, commands) -> {
                        relive(virtual, row, commands);
                        gaps.getOrDefault(row.sample().tick(), List.of())
                                .forEach(seconds -> reliveGap(virtual, row, seconds));
                    })
                    .afterGap(Math.max(period, simulatedGapSeconds));
            bench.heatOff(); // the load ended with the program
            virtual.skipTo(past.nowNanos());
            return past;
        }
        Past past = Past.of(files, record, (row, commands) -> {});
        String cutOff = past.last().isPresent() ? past.last().get().utc() : record.openedUtc();
        double gap = Duration.between(Instant.parse(cutOff), clock.wall()).toMillis() / 1000.0;
        return past.afterGap(Math.max(period, gap));
    }

    private void relive(VirtualClock virtual, RecordedNight.Row row, List<Command> commands) {
        virtual.skipTo(row.sample().offsetMillis() * 1_000_000);
        virtual.spend(bench.read(row.sample().tick()).busyNanos());
        bench.loadEvents();
        for (Command command : commands) {
            if (command instanceof Command.SetDuty set) {
                bench.set(set.actuator(), set.percent());
            } else if (command instanceof Command.HeatOn on) {
                bench.heatOn(on.demand());
            } else if (command instanceof Command.HeatOff) {
                bench.heatOff();
            }
        }
    }

    /** Gaps that the night had before, s, by the last tick before each. */
    private Map<Long, List<Double>> gapsSeconds() throws IOException {
        Map<Long, List<Double>> gaps = new TreeMap<>();
        for (Map<String, Object> line : record.journal()) {
            if ("resumed".equals(line.get("type"))
                    && line.get("tick") instanceof Long tick
                    && line.get("gap-seconds") instanceof Number seconds) {
                gaps.computeIfAbsent(tick, t -> new ArrayList<>()).add(seconds.doubleValue());
            }
        }
        return gaps;
    }

    /** A gap as the simulated bench stood through it then: the load ended with the program, and all was made safe after it. */
    private void reliveGap(VirtualClock virtual, RecordedNight.Row row, double seconds) {
        bench.heatOff();
        virtual.skipTo(row.sample().offsetMillis() * 1_000_000 + Math.round(seconds * 1e9));
        bench.heatOff();
        bench.file().actuators().forEach(actuator -> bench.set(actuator.name(), actuator.safePercent()));
    }

    /**
     * Makes the bench safe, in a way that still lets it be set afterwards: heat off, then everything to its safe duty.
     *
     * @param past what was recorded before
     * @param facts by whom and by what program the night goes on
     * @param torn what the crash left behind the last checkpoint
     * @return what to journal about it, in order
     * @throws BenchException if the heat could not be switched off
     */
    List<Map<String, Object>> makeSafe(Past past, Map<String, Object> facts, List<RecordWriter.SetAside> torn)
            throws BenchException {
        long tick = past.lastTick();
        List<Map<String, Object>> lines = new ArrayList<>();
        Map<String, Object> resumed = new LinkedHashMap<>();
        resumed.put("type", "resumed");
        resumed.put("tick", tick);
        resumed.put("gap-seconds", Decimals.json(past.gapSeconds(), 3));
        resumed.putAll(facts);
        List<Object> tails = new ArrayList<>();
        for (RecordWriter.SetAside tail : torn) {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("file", tail.file());
            fields.put("bytes", tail.bytes());
            fields.put("sha256", tail.sha256());
            tails.add(fields);
        }
        resumed.put("set-aside", tails);
        lines.add(resumed);
        SetResult heat = bench.heatOff();
        if (!heat.done()) {
            bench.makeSafe(false);
            throw new BenchException(
                    "the heat could not be switched off: " + heat.detail()
                            + "; the bench was made as safe as could be, and the record can still be gone on with",
                    null);
        }
        lines.add(Night.madeSafe(tick, heat));
        for (ActuatorSpec actuator : bench.file().actuators()) {
            lines.add(Night.madeSafe(tick, bench.set(actuator.name(), actuator.safePercent())));
        }
        return lines;
    }
}
