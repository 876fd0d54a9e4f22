package org.plateaubench.record;

import java.util.List;
import java.util.regex.Pattern;
import org.plateaubench.units.Unit;

/**
 * Head of one column of readings in samples.csv.
 *
 * @param name name of the channel: ASCII letters, digits, point, hyphen and underscore; none of {@link #FIXED}
 * @param unit unit of its readings
 */
public record ColumnHead(String name, Unit unit) {

    /** The columns that every samples.csv has: "quality" is the last, the others come first, in this order. */
    public static final List<String> FIXED = List.of("tick", "offset_ms", "missed", "utc", "stage", "pass", "quality");

    private static final Pattern NAME = Pattern.compile("[A-Za-z0-9][A-Za-z0-9._-]{0,63}");

    /**
     * Checks the name.
     *
     * @throws IllegalArgumentException if the name cannot head a column
     */
    public ColumnHead {
        if (!NAME.matcher(name).matches()) {
            throw new IllegalArgumentException(
                    "a column's name is made of letters, digits, '.', '-' and '_', found '" + name + "'");
        }
        if (FIXED.contains(name)) {
            throw new IllegalArgumentException("samples.csv has a column called '" + name + "' of its own");
        }
    }
}
