package org.plateaubench.problem;

import java.util.List;
import java.util.Optional;

/**
 * What was read of a file, with its places, while problems may still be added: checks between files need both. Where
 * there are problems the value holds stand-ins, such as NaN, and must not be used for anything but further checks.
 *
 * @param document the file
 * @param value what was read; empty if it is no YAML document
 * @param <T> what was read
 */
public record Draft<T>(Document document, Optional<T> value) {

    /** {@return the value, or the problems in line order} */
    public Parsed<T> parsed() {
        List<Problem> problems = document.problems().inLineOrder();
        return new Parsed<>(problems.isEmpty() ? value : Optional.empty(), problems);
    }
}
