package org.plateaubench.record;

import java.io.IOException;
import java.util.List;
import java.util.Map;
import java.util.function.Consumer;
import org.plateaubench.sample.Sample;
import org.plateaubench.sample.TickReadings;

/** What a record holds of a night, wherever it is kept. */
public interface RecordedNight {

    /**
     * The exact bytes of one of the files used.
     *
     * @param name "plan.yaml", "fans.yaml" or "bench.yaml"
     * @return its bytes
     * @throws IOException if it cannot be read
     */
    byte[] file(String name) throws IOException;

    /**
     * Goes through all samples, in order.
     *
     * @param each called once a row
     * @throws IOException if they cannot be read
     */
    void samples(Consumer<Row> each) throws IOException;

    /**
     * Goes through the numbers of all samples, in order: a night has half a million, and results need neither their texts
     * nor a copy of them.
     *
     * @param each called once a row; what it is given holds only until it returns
     * @throws IOException if they cannot be read
     */
    default void readings(Consumer<TickReadings> each) throws IOException {
        samples(row -> each.accept(row.sample()));
    }

    /**
     * Reads the journal.
     *
     * @return its lines as JSON objects with their fields in order, without "prev"
     * @throws IOException if it cannot be read
     */
    List<Map<String, Object>> journal() throws IOException;

    /**
     * One row of the samples.
     *
     * @param sample the sample
     * @param utc wall-clock time
     * @param stage stage that it was taken in
     * @param pass name of the pass, or empty
     */
    record Row(Sample sample, String utc, String stage, String pass) {}
}
