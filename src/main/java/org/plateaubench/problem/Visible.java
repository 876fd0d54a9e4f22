package org.plateaubench.problem;

/** Text of a file made fit for a terminal: one column a code point, nothing that moves the cursor. */
final class Visible {

    private static final int LONGEST = 1_048_576;
    private static final int CONTROL_PICTURES = 0x2400;
    private static final int DELETE = 0x7f;
    private static final int DELETE_PICTURE = 0x2421;
    private static final int REPLACEMENT = 0xfffd;

    private Visible() {}

    /**
     * Replaces what a terminal would act upon: a tab by one space, control characters by their pictures, format
     * characters (direction marks, zero width) and lone surrogates by the replacement character.
     *
     * @param text any text
     * @return as many code points, all of them visible or spaces
     */
    static String of(String text) {
        return text.codePoints()
                .limit(LONGEST)
                .map(Visible::of)
                .collect(StringBuilder::new, StringBuilder::appendCodePoint, StringBuilder::append)
                .toString();
    }

    private static int of(int point) {
        if (point == '\t') {
            return ' ';
        }
        if (point < ' ') {
            return CONTROL_PICTURES + point;
        }
        if (point == DELETE) {
            return DELETE_PICTURE;
        }
        return switch (Character.getType(point)) {
            case Character.CONTROL,
                    Character.FORMAT,
                    Character.SURROGATE,
                    Character.UNASSIGNED,
                    Character.LINE_SEPARATOR,
                    Character.PARAGRAPH_SEPARATOR -> REPLACEMENT;
            default -> point;
        };
    }
}
