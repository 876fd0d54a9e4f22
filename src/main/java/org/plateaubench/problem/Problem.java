package org.plateaubench.problem;

/**
 * One thing that is wrong in a file, with its place.
 *
 * @param file the file's label, as the user named it
 * @param place where it is; shown counted from 1
 * @param lineText the whole line; empty if the whole file is meant
 * @param message what is wrong, one line
 * @param found what was found; empty if the message says it all
 * @param needed what is needed; never empty
 * @param path where in the document, such as "measurements[0].soak"; empty at the top
 * @param code stable name
 */
public record Problem(
        String file,
        Place place,
        String lineText,
        String message,
        String found,
        String needed,
        String path,
        ProblemCode code) {

    private static final int WIDEST_LINE = 160;
    private static final String CLIPPED = "…";

    /**
     * A problem of a file as a whole: it cannot be read, or is no text.
     *
     * @param file the file's label
     * @param code stable name
     * @param message what is wrong, one line
     * @param needed what is needed
     * @return the problem
     */
    public static Problem ofWholeFile(String file, ProblemCode code, String message, String needed) {
        return new Problem(file, Place.WHOLE_FILE, "", message, "", needed, "", code);
    }

    /** {@return what the user reads: four or five lines without an end of line after the last} */
    public String text() {
        StringBuilder text = new StringBuilder(Visible.of(file));
        boolean hasLine = place.line() >= 0;
        if (hasLine) {
            text.append(':').append(place.line() + 1).append(':').append(place.column() + 1);
        }
        text.append(": error: ").append(Visible.of(message)).append('\n');
        if (hasLine) {
            appendLine(text);
        }
        text.append("  ");
        if (!found.isEmpty()) {
            text.append("found ").append(Visible.of(found)).append("; ");
        }
        text.append("needs ").append(Visible.of(needed)).append("\n  ");
        if (!path.isEmpty()) {
            text.append("in ").append(Visible.of(path)).append("; ");
        }
        return text.append("nothing was sent to the bench  [")
                .append(code)
                .append(']')
                .toString();
    }

    /** Appends the line with its number, and carets below; of a long line the part around the place. */
    private void appendLine(StringBuilder text) {
        int[] points = Visible.of(lineText).codePoints().toArray();
        int from = 0;
        int to = points.length;
        if (to > WIDEST_LINE) {
            from = Math.max(0, Math.min(place.column() - WIDEST_LINE / 2, to - WIDEST_LINE));
            to = from + WIDEST_LINE;
        }
        String before = from > 0 ? CLIPPED : "";
        String number = Integer.toString(place.line() + 1);
        int caretEnd = Math.max(place.column() + 1, Math.min(place.column() + place.length(), to));
        text.append("  ")
                .append(number)
                .append(" | ")
                .append(before)
                .append(new String(points, from, to - from))
                .append(to < points.length ? CLIPPED : "")
                .append("\n  ")
                .append(" ".repeat(number.length()))
                .append(" | ")
                .append(" ".repeat(before.length() + place.column() - from))
                .append("^".repeat(caretEnd - place.column()))
                .append('\n');
    }

    @Override
    public String toString() {
        return text();
    }
}
