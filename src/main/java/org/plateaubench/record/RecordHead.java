package org.plateaubench.record;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.regex.Pattern;

/**
 * What is known of a record when it is opened.
 *
 * @param name name wanted for the record, see {@link #name(String, String, String)}; a number is put behind it if a
 *     record is called so already
 * @param utc wall-clock time, ISO 8601 with milliseconds and Z
 * @param agent program and version that writes it, such as "Plateau 0.1.0"
 * @param simulated whether its bench is simulated
 * @param files exact bytes of the files used, by name: "plan.yaml", "fans.yaml", "bench.yaml"
 * @param columns heads of the readings, in the order of the bench file
 * @param stages every stage that a sample can be taken in
 * @param header first line of the journal, as JSON fields
 */
public record RecordHead(
        String name,
        String utc,
        String agent,
        boolean simulated,
        Map<String, byte[]> files,
        List<ColumnHead> columns,
        List<String> stages,
        Map<String, Object> header) {

    /** Length of the longest flat name, characters. */
    static final int LONGEST_NAME = 100;

    private static final Pattern FLAT = Pattern.compile("[a-z0-9][a-z0-9.-]{0," + (LONGEST_NAME - 1) + "}");

    /**
     * Checks the names.
     *
     * @throws IllegalArgumentException if a file's name is not flat, two columns have one name, or there is no stage
     */
    public RecordHead {
        requireFlat(name);
        files.keySet().forEach(RecordHead::requireFlat);
        files = Collections.unmodifiableMap(new LinkedHashMap<>(files));
        columns = List.copyOf(columns);
        stages = List.copyOf(stages);
        header = Collections.unmodifiableMap(new LinkedHashMap<>(header));
        if (columns.stream().map(ColumnHead::name).distinct().count() < columns.size()) {
            throw new IllegalArgumentException("two columns have the same name");
        }
        if (stages.isEmpty()) {
            throw new IllegalArgumentException("a record needs the names of its stages");
        }
    }

    /**
     * A name for a record: when, which bench, which fan set, such as "20261124-221003-example-loop-a".
     *
     * @param utc wall-clock time, ISO 8601
     * @param bench name of the bench
     * @param set name of the fan set
     * @return a flat name
     */
    public static String name(String utc, String bench, String set) {
        String time = utc.replaceAll("[^0-9T]", "").replace('T', '-').substring(0, 15);
        String rest = (bench + "-" + set)
                .toLowerCase(Locale.ROOT)
                .replaceAll("[^a-z0-9]+", "-")
                .replaceAll("^-|-$", "");
        return time + "-" + rest.substring(0, Math.min(60, rest.length()));
    }

    /** Names in a record are flat: no folder, no letter that another file system takes for the same. */
    static boolean isFlat(String name) {
        return FLAT.matcher(name).matches() && !name.endsWith(FileOps.UNFINISHED);
    }

    static String requireFlat(String name) {
        if (!isFlat(name)) {
            throw new IllegalArgumentException(
                    "a name in a record is made of a to z, 0 to 9, '.' and '-', found '" + name + "'");
        }
        return name;
    }
}
