package org.plateaubench.problem;

/**
 * One thing that is wrong in a file, with its place.
 *
 * @param file the file's label, as the user named it
 * @param line line, counted from 0; shown from 1
 * @param column column in code points, counted from 0; shown from 1
 * @param length how many code points the caret line underlines, 1 or more
 * @param lineText the whole line
 * @param message what is wrong, one line
 * @param found what was found, if that says more
 * @param needed what is needed
 * @param path where in the document, such as "measurements[0].soak"; empty at the top
 * @param code stable name, such as SOAK_TOO_SHORT
 */
public record Problem(
        String file,
        int line,
        int column,
        int length,
        String lineText,
        String message,
        String found,
        String needed,
        String path,
        String code) {}
