package org.plateaubench.record;

import java.util.Map;
import java.util.Optional;
import org.plateaubench.sample.Sample;

/**
 * Takes what a run records, in order. One thread, the run's, calls it; it never blocks on storage.
 */
public interface Recorder {

    /**
     * Records a sample.
     *
     * @param sample the sample
     * @param utc wall-clock time of the tick, ISO 8601 with milliseconds and Z
     * @param stage stage that it was taken in
     * @param pass name of the pass, or empty between passes
     */
    void sample(Sample sample, String utc, String stage, String pass);

    /**
     * Records a journal line. The recorder puts "seq" before the fields and "prev" behind them.
     *
     * @param fields JSON fields in order; values are text, Boolean, Long, Integer, BigDecimal, or lists and maps of these
     */
    void journal(Map<String, Object> fields);

    /** {@return what went wrong with the storage since the last call, one line, or empty} */
    Optional<String> storageFault();
}
