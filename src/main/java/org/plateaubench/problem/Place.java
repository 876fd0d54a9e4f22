package org.plateaubench.problem;

/**
 * Where something stands in a file.
 *
 * @param line line, counted from 0; -1 if the whole file is meant
 * @param column column in code points, counted from 0
 * @param length how many code points of that line it takes, 1 or more
 */
public record Place(int line, int column, int length) {

    /** The whole file: there is no line to show. */
    public static final Place WHOLE_FILE = new Place(-1, 0, 1);
}
