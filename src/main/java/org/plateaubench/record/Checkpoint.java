package org.plateaubench.record;

import java.util.LinkedHashMap;
import java.util.Map;

/**
 * A signed line of checkpoints.jsonl: how long samples and journal were, and their hashes up to there. The first, the
 * opening, also holds the hashes of the files that are there from the start.
 *
 * @param record the record's name
 * @param simulated whether the bench is simulated
 * @param utc wall-clock time
 * @param samples bytes and hash of samples.csv so far
 * @param journal bytes and hash of journal.jsonl so far
 * @param files SHA-256 by path; empty but in the opening
 */
record Checkpoint(
        String record, boolean simulated, String utc, Extent samples, Extent journal, Map<String, String> files) {

    static final String FILE = "data/checkpoints.jsonl";

    private static final String OPENING = "plateau-opening";
    private static final String TYPE = "plateau-checkpoint";

    /** The beginning of a file: so many bytes, with this SHA-256. */
    record Extent(long bytes, String sha256) {
        static Extent of(byte[] whole) {
            return new Extent(whole.length, Sha256.of(whole));
        }
    }

    /** The signed line, without line feed. */
    byte[] line(SealingKey key) {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("record", record);
        fields.put("simulated", simulated);
        fields.put("utc", utc);
        fields.put("samples_bytes", samples.bytes());
        fields.put("samples_sha256", samples.sha256());
        fields.put("journal_bytes", journal.bytes());
        fields.put("journal_sha256", journal.sha256());
        if (!files.isEmpty()) {
            fields.put("files", files);
        }
        return SignedLine.sign(files.isEmpty() ? TYPE : OPENING, fields, key);
    }

    /** Reads a line, given without line feed; the first, number 1, must be the opening. */
    static SignedLine signed(byte[] line, int number) throws RecordFault {
        return new SignedLine(line, number == 1 ? OPENING : TYPE, FILE + ":" + number);
    }

    static Checkpoint of(SignedLine line) throws RecordFault {
        Map<String, String> files = new LinkedHashMap<>();
        if (line.fields().get("files") instanceof Map<?, ?> map) {
            map.forEach((path, hash) -> files.put((String) path, String.valueOf(hash)));
        }
        return new Checkpoint(
                line.text("record"),
                line.flag("simulated"),
                line.text("utc"),
                new Extent(line.number("samples_bytes"), line.text("samples_sha256")),
                new Extent(line.number("journal_bytes"), line.text("journal_sha256")),
                files);
    }
}
