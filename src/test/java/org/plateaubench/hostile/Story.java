package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.Optional;
import java.util.TreeMap;
import org.plateaubench.engine.Command;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.results.NightResults;

/** What happened in a night; for one thread. What is read out of its record is read once. */
final class Story {

    private final Scenario scenario;
    private final List<TruthRow> rows;
    private final List<Map.Entry<Long, String>> asked;
    private final RecordedNight record;
    private final Optional<Command.End> end;
    private final Optional<Throwable> thrown;
    private NavigableMap<Long, TruthRow> byTick;
    private List<Map<String, Object>> journal;
    private List<RecordedNight.Row> samples;
    private List<PassStory> passes;
    private NightResults results;

    /**
     * A night.
     *
     * @param scenario the night as it was drawn
     * @param rows the truth, at every tick and afterwards
     * @param asked when somebody asked the night to end, ms of the bench's own time, with what was asked
     * @param record what was recorded
     * @param end how it ended; empty if it did not
     * @param thrown what it threw; empty if nothing
     */
    Story(
            Scenario scenario,
            List<TruthRow> rows,
            List<Map.Entry<Long, String>> asked,
            RecordedNight record,
            Optional<Command.End> end,
            Optional<Throwable> thrown) {
        this.scenario = scenario;
        this.rows = rows;
        this.asked = asked;
        this.record = record;
        this.end = end;
        this.thrown = thrown;
    }

    Scenario scenario() {
        return scenario;
    }

    List<TruthRow> rows() {
        return rows;
    }

    List<Map.Entry<Long, String>> asked() {
        return asked;
    }

    RecordedNight record() {
        return record;
    }

    Optional<Command.End> end() {
        return end;
    }

    Optional<Throwable> thrown() {
        return thrown;
    }

    NightFiles files() {
        return scenario.files();
    }

    List<Map<String, Object>> journal() throws IOException {
        if (journal == null) {
            journal = record.journal();
        }
        return journal;
    }

    List<RecordedNight.Row> samples() throws IOException {
        if (samples == null) {
            List<RecordedNight.Row> read = new ArrayList<>();
            record.samples(read::add);
            samples = read;
        }
        return samples;
    }

    /** What the journal says of each attempt of a pass. */
    List<PassStory> passes() throws IOException {
        if (passes == null) {
            passes = PassStory.of(journal());
        }
        return passes;
    }

    NightResults results() throws IOException {
        if (results == null) {
            results = NightResults.of(files(), record);
        }
        return results;
    }

    /** The truth at each tick, by the tick's number. */
    NavigableMap<Long, TruthRow> byTick() {
        if (byTick == null) {
            TreeMap<Long, TruthRow> found = new TreeMap<>();
            rows.stream().filter(r -> r.tick() >= 0).forEach(r -> found.put(r.tick(), r));
            byTick = Collections.unmodifiableNavigableMap(found);
        }
        return byTick;
    }

    double periodSeconds() {
        return files().plan().sampleEverySeconds();
    }
}
