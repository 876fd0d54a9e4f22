package org.plateaubench.results;

import java.util.List;
import java.util.Map;

/**
 * One line of a journal, its fields by name.
 *
 * @param fields as they were read
 */
record JournalLine(Map<String, Object> fields) {

    /** The text of a field; "null" if there is none. */
    String text(String field) {
        return String.valueOf(fields.get(field));
    }

    boolean flag(String field) {
        return Boolean.TRUE.equals(fields.get(field));
    }

    long whole(String field) {
        return ((Number) fields.get(field)).longValue();
    }

    /** The number of a field; NaN if there is none. */
    double number(String field) {
        return fields.get(field) instanceof Number n ? n.doubleValue() : Double.NaN;
    }

    /** The numbers of a field that holds a list; NaN where something else stands in it. */
    double[] numbers(String field) {
        return ((List<?>) fields.get(field))
                .stream()
                        .mapToDouble(v -> v instanceof Number n ? n.doubleValue() : Double.NaN)
                        .toArray();
    }
}
