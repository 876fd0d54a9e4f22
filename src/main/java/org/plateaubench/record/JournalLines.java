package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * The lines of a journal, one after the other: each begins with its number, "seq", from 0, and ends with "prev", the
 * SHA-256 of the bytes of the line before without its line feed (64 zeros in the first). Writes the next line, or
 * checks it; both ways go through the same numbers.
 */
final class JournalLines {

    static final String FILE = "data/journal.jsonl";

    private static final String SEQ = "seq";
    private static final String PREV = "prev";

    private long seq;
    private String prev = Sha256.ZEROS;

    /** The next line, in UTF-8, without line feed. */
    byte[] next(Map<String, ?> fields) {
        if (fields.containsKey(SEQ) || fields.containsKey(PREV)) {
            throw new IllegalArgumentException("\"seq\" and \"prev\" of a journal line are the recorder's");
        }
        Map<String, Object> whole = new LinkedHashMap<>();
        whole.put(SEQ, seq);
        whole.putAll(fields);
        whole.put(PREV, prev);
        byte[] line = Json.line(whole).getBytes(StandardCharsets.UTF_8);
        step(line);
        return line;
    }

    /** Checks the next line, given without line feed, and reads its fields, without "prev". */
    Map<String, Object> check(byte[] line) throws RecordFault {
        String place = FILE + ":" + (seq + 1);
        Map<String, Object> fields;
        try {
            fields = Json.read(line);
        } catch (Json.JsonFault e) {
            throw new RecordFault(place, "no journal line: " + e.getMessage());
        }
        String first = fields.keySet().stream().findFirst().orElse("");
        String last = fields.keySet().stream().reduce((a, b) -> b).orElse("");
        if (!first.equals(SEQ) || !fields.get(SEQ).equals(seq)) {
            throw new RecordFault(place, "the line must begin with \"seq\":" + seq);
        }
        if (!last.equals(PREV) || !fields.remove(PREV).equals(prev)) {
            throw new RecordFault(place, "the line must end with \"prev\" and the hash of the line before, " + prev);
        }
        step(line);
        return fields;
    }

    private void step(byte[] line) {
        prev = Sha256.of(line);
        seq++;
    }
}
