package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.NoSuchFileException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Consumer;
import org.plateaubench.sample.Sample;

/**
 * A record kept in memory only, for the statistics of many simulated nights. What it gives back is what a record on
 * disk would give back: the journal has gone through its JSON text.
 */
public final class MemoryRecord implements Recorder, RecordedNight {

    private final Map<String, byte[]> files = new LinkedHashMap<>();
    private final List<Row> rows = new ArrayList<>();
    private final JournalLines journal = new JournalLines();
    private final List<byte[]> lines = new ArrayList<>();

    /**
     * An empty record.
     *
     * @param files the exact bytes of "plan.yaml", "fans.yaml" and "bench.yaml", by name
     */
    public MemoryRecord(Map<String, byte[]> files) {
        files.forEach((name, bytes) -> this.files.put(name, bytes.clone()));
    }

    @Override
    public void sample(Sample sample, String utc, String stage, String pass) {
        rows.add(new Row(sample, utc, stage, pass));
    }

    @Override
    public void journal(Map<String, Object> fields) {
        lines.add(journal.next(fields));
    }

    @Override
    public Optional<String> storageFault() {
        return Optional.empty();
    }

    @Override
    public byte[] file(String name) throws IOException {
        byte[] bytes = files.get(name);
        if (bytes == null) {
            throw new NoSuchFileException(name);
        }
        return bytes.clone();
    }

    @Override
    public void samples(Consumer<Row> each) {
        rows.forEach(each);
    }

    @Override
    public List<Map<String, Object>> journal() throws IOException {
        JournalLines reader = new JournalLines();
        List<Map<String, Object>> journal = new ArrayList<>(lines.size());
        for (byte[] line : lines) {
            journal.add(reader.check(line));
        }
        return journal;
    }
}
