package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.sample.Sample;

class MemoryRecordTest {

    @Test
    void givesBackWhatWasRecorded() throws IOException {
        MemoryRecord record = new MemoryRecord(Map.of("plan.yaml", new byte[] {1, 2}));
        Sample sample = new Sample(0, 3, 0, List.of(Reading.recorded("28.403", Quality.GOOD)));
        Map<String, Object> fields = new LinkedHashMap<>(Map.of("event", "heat"));

        record.sample(sample, "2026-11-24T22:10:03.000Z", "soak", "700-rpm-1");
        record.journal(fields);
        fields.put("event", "changed by the caller afterwards");

        List<RecordedNight.Row> rows = new ArrayList<>();
        record.samples(rows::add);
        assertEquals(List.of(new RecordedNight.Row(sample, "2026-11-24T22:10:03.000Z", "soak", "700-rpm-1")), rows);
        assertEquals(List.of(Map.of("seq", 0L, "event", "heat")), record.journal());
        assertArrayEquals(new byte[] {1, 2}, record.file("plan.yaml"));
        assertThrows(IOException.class, () -> record.file("fans.yaml"));
    }
}
