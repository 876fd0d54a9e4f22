package org.plateaubench.night;

import java.io.IOException;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Supplier;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.results.NightResults;

/**
 * A night in simulated time on a simulated twin of its bench: no device is opened, nothing is written.
 *
 * @param start local time at which it begins
 * @param timeline its stages, in order
 * @param seconds how long it takes, s
 * @param passesDone passes that were done
 * @param passesPlanned passes of the plan
 * @param reason how it ended, one line
 * @param bytes about how many bytes its record would take
 * @param results what it measured
 */
public record Rehearsal(
        OffsetDateTime start,
        List<Entry> timeline,
        double seconds,
        int passesDone,
        int passesPlanned,
        String reason,
        long bytes,
        NightResults results) {

    /** Copies the list. */
    public Rehearsal {
        timeline = List.copyOf(timeline);
    }

    /**
     * One stage of the timeline.
     *
     * @param stage its name
     * @param pass name of the pass, or empty
     * @param step setpoint of the pass, or empty
     * @param beginSeconds when it begins, s since the start
     * @param endSeconds when it ends, s since the start
     */
    public record Entry(String stage, String pass, String step, double beginSeconds, double endSeconds) {}

    /**
     * Rehearses a night.
     *
     * @param files plan, fans and bench file
     * @param seed seed of the simulated twin
     * @param now local time at which a night on a real bench would begin; a simulated bench states its own
     * @return how it went
     * @throws IOException never for a record in memory; declared by its reader
     */
    public static Rehearsal of(NightFiles files, long seed, OffsetDateTime now) throws IOException {
        OffsetDateTime start =
                files.bench().simulation().map(SimulationSpec::start).orElse(now);
        VirtualClock clock = VirtualClock.unpaced(start.toInstant());
        Bench bench = SimulatedBench.create(
                twin(files.bench(), start),
                files.fans().set(),
                files.fans().mount().number(),
                seed,
                clock,
                Transport.IN_PROCESS);
        return of(files, start, bench, clock, NightListener.NONE);
    }

    /** Rehearses a night on a bench that is not open yet, with somebody listening. */
    static Rehearsal of(NightFiles files, OffsetDateTime start, Bench bench, VirtualClock clock, NightListener listener)
            throws IOException {
        MemoryRecord record = new MemoryRecord(files.toRecord());
        Timeline timeline = new Timeline(listener);
        try (bench) {
            bench.open();
            Command.End end =
                    new Night(files, Optional.empty(), bench, clock, start.getOffset(), record, timeline, true).run();
            NightResults results = NightResults.of(files, record);
            long columns = files.bench().columns().size();
            return new Rehearsal(
                    start,
                    timeline.entries(clock.nanos() / 1e9),
                    clock.nanos() / 1e9,
                    timeline.done,
                    timeline.planned,
                    end.reason(),
                    DiskNeed.of(columns, timeline.ticks, timeline.lines).bytes(),
                    results);
        } catch (BenchException e) {
            throw new IllegalStateException("a simulated twin could not be opened", e);
        }
    }

    /** A real bench's file as that of a simulated bench with ordinary numbers. */
    static BenchFile twin(BenchFile file, OffsetDateTime start) {
        if (file.simulation().isPresent()) {
            return file;
        }
        return file.withSimulation(new SimulationSpec(start, 1, List.of(), List.of()));
    }

    /** Notes when stages begin. */
    private static final class Timeline implements NightListener {
        private final NightListener listener;
        private final List<Entry> open = new ArrayList<>();
        private final Map<String, String> steps = new LinkedHashMap<>();
        private long ticks;
        private long lines;
        private int done;
        private int planned;

        Timeline(NightListener listener) {
            this.listener = listener;
        }

        @Override
        public void tick(long tick, double seconds, Supplier<Progress> progress) {
            ticks++;
            listener.tick(tick, seconds, progress);
        }

        @Override
        public void journalled(double seconds, Map<String, Object> fields) {
            lines++;
            listener.journalled(seconds, fields);
            if ("pass-begun".equals(fields.get("decision"))) {
                steps.put(fields.get("pass").toString(), fields.get("step").toString());
            } else if ("stage".equals(fields.get("decision"))) {
                String pass = fields.get("pass").toString();
                open.add(new Entry(
                        fields.get("stage").toString(), pass, steps.getOrDefault(pass, ""), seconds, Double.NaN));
            } else if ("end".equals(fields.get("decision"))) {
                done = ((Number) fields.get("passes-done")).intValue();
                planned = ((Number) fields.get("passes-planned")).intValue();
            }
        }

        List<Entry> entries(double endSeconds) {
            List<Entry> entries = new ArrayList<>();
            for (int i = 0; i < open.size(); i++) {
                Entry e = open.get(i);
                double end = i + 1 < open.size() ? open.get(i + 1).beginSeconds() : endSeconds;
                entries.add(new Entry(e.stage(), e.pass(), e.step(), e.beginSeconds(), end));
            }
            return entries;
        }
    }
}
