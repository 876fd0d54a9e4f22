package org.plateaubench.problem;

import java.util.List;
import java.util.Optional;

/**
 * What came of reading a file: a value, or problems in line order.
 *
 * @param value present exactly if there is no problem
 * @param problems all of them, in line order
 * @param <T> what was read
 */
public record Parsed<T>(Optional<T> value, List<Problem> problems) {

    /** Copies the list. */
    public Parsed {
        problems = List.copyOf(problems);
        if (value.isPresent() != problems.isEmpty()) {
            throw new IllegalArgumentException("a file has either a value or problems");
        }
    }
}
