package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.plateaubench.engine.Command;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.results.NightResults;

/**
 * What happened in a night.
 *
 * @param scenario the night as it was drawn
 * @param rows the truth, at every tick and afterwards
 * @param asked when somebody asked the night to end, ms of the bench's own time, with what was asked
 * @param record what was recorded
 * @param end how it ended; empty if it did not
 * @param thrown what it threw; empty if nothing
 */
record Story(
        Scenario scenario,
        List<TruthRow> rows,
        List<Map.Entry<Long, String>> asked,
        RecordedNight record,
        Optional<Command.End> end,
        Optional<Throwable> thrown) {

    NightFiles files() {
        return scenario.files();
    }

    List<Map<String, Object>> journal() throws IOException {
        return record.journal();
    }

    List<RecordedNight.Row> samples() throws IOException {
        List<RecordedNight.Row> samples = new ArrayList<>();
        record.samples(samples::add);
        return samples;
    }

    NightResults results() throws IOException {
        return NightResults.of(files(), record);
    }

    /** The truth at each tick, by the tick's number. */
    TreeMap<Long, TruthRow> byTick() {
        TreeMap<Long, TruthRow> byTick = new TreeMap<>();
        rows.stream().filter(r -> r.tick() >= 0).forEach(r -> byTick.put(r.tick(), r));
        return byTick;
    }

    double periodSeconds() {
        return files().plan().sampleEverySeconds();
    }
}
