package org.plateaubench.report;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * Fields of a JSON object of a record, by name. What an older or a shorter record does not have is empty here, so that a
 * report leaves it out. Numbers keep their digits.
 *
 * @param map the fields
 */
record Fields(Map<?, ?> map) {

    /** What stands where there is no number. */
    static final String NONE = "\u2013";

    static Fields of(Object object) {
        return new Fields(object instanceof Map<?, ?> map ? map : Map.of());
    }

    /** Text of a field; empty if there is none. */
    String text(String name) {
        Object value = map.get(name);
        return value == null ? "" : value.toString();
    }

    boolean flag(String name) {
        return Boolean.TRUE.equals(map.get(name));
    }

    boolean has(String name) {
        return map.containsKey(name);
    }

    Fields object(String name) {
        return of(map.get(name));
    }

    /** Objects of a list; none if there is no list. */
    List<Fields> list(String name) {
        return map.get(name) instanceof List<?> list
                ? list.stream().map(Fields::of).toList()
                : List.of();
    }

    Optional<BigDecimal> number(String name) {
        Object value = map.get(name);
        return value instanceof BigDecimal number
                ? Optional.of(number)
                : value instanceof Long whole ? Optional.of(BigDecimal.valueOf(whole)) : Optional.empty();
    }

    /** The number as it is drawn; NaN if there is none. */
    double value(String name) {
        return number(name).map(BigDecimal::doubleValue).orElse(Double.NaN);
    }

    /** The number rounded to so many decimals, with its unit; a dash if there is none. */
    String rounded(String name, int decimals, String unit) {
        return number(name)
                .map(n ->
                        n.setScale(decimals, RoundingMode.HALF_UP).toPlainString() + (unit.isEmpty() ? "" : " " + unit))
                .orElse(NONE);
    }
}
