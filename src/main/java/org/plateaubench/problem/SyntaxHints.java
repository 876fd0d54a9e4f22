package org.plateaubench.problem;

import java.util.List;
import java.util.Optional;
import org.snakeyaml.engine.v2.exceptions.Mark;
import org.snakeyaml.engine.v2.exceptions.MarkedYamlEngineException;

/** Says in the words of the person who wrote the file why it is not YAML. */
final class SyntaxHints {

    private static final int LONGEST_KEY = 40;

    private SyntaxHints() {}

    /**
     * What to tell.
     *
     * @param index where, as an index of the text's code points
     * @param code stable name
     * @param message what is wrong
     * @param found what was found; may be empty
     * @param needed what is needed
     */
    record Hint(int index, ProblemCode code, String message, String found, String needed) {}

    /**
     * Explains a failure of the YAML parser.
     *
     * @param failure the failure
     * @param text the text, as code points
     * @return what to tell
     */
    static Hint of(MarkedYamlEngineException failure, int[] text) {
        int at = failure.getProblemMark().map(Mark::getIndex).orElse(0);
        Optional<Mark> context = failure.getContextMark();
        int begin = context.map(Mark::getIndex).orElse(at);
        String during = failure.getContext() == null ? "" : failure.getContext();
        String problem = failure.getProblem() == null ? "" : failure.getProblem();
        int here = at < text.length ? text[at] : -1;

        if (here == '\t' && problem.contains("cannot start any token")) {
            return new Hint(
                    at,
                    ProblemCode.TAB,
                    "a tab where only spaces may stand",
                    "a tab",
                    "spaces, as in the lines around");
        }
        if (problem.contains("cannot start any token")) {
            String sign = Character.toString(here);
            return notYaml(
                    at,
                    "a value without quotes cannot begin with " + sign,
                    sign,
                    "quotes around the value, such as \"" + sign + "\"");
        }
        if (during.contains("quoted scalar") && here == -1) {
            return notYaml(begin, "this quotation mark is never closed", "", "the same mark at the end of the text");
        }
        if (problem.contains("unknown escape character")) {
            return notYaml(
                    at,
                    "this is no escape that double quotes know",
                    "\\" + Character.toString(here),
                    "two backslashes for one, or single quotes around the text");
        }
        if (problem.contains("could not find expected ':'")) {
            return notYaml(begin, "a colon is missing behind this key", "", "a colon and a space, such as key: value");
        }
        if (problem.contains("mapping values are not allowed")) {
            return colon(at, text);
        }
        if (here == ',') {
            return notYaml(at, "nothing stands before this comma", "", "a value, or one comma less");
        }
        if (during.contains("block scalar")) {
            return notYaml(
                    at,
                    "behind | or > the line ends",
                    Character.toString(here),
                    "the text in the lines below, indented, or quotes around a text that begins with | or >");
        }
        if (during.contains("flow mapping") || during.contains("flow sequence")) {
            return flow(at, begin, during.contains("mapping"), context, text);
        }
        if (during.contains("block") && (here == '}' || here == ']')) {
            return notYaml(
                    at, "this bracket closes nothing", Character.toString(here), "no bracket, or its opening one");
        }
        if (during.contains("block")) {
            return block(at, begin, during.contains("mapping"), context, text);
        }
        return notYaml(at, "this is not YAML 1.2", "", "YAML 1.2 (its parser says: " + problem + ")");
    }

    private static Hint notYaml(int index, String message, String found, String needed) {
        return new Hint(index, ProblemCode.NOT_YAML, message, found, needed);
    }

    /** A colon where none may stand: behind a value that has another before it, or in a line that belongs elsewhere. */
    private static Hint colon(int at, int[] text) {
        int line = lineStart(at, text);
        String before = new String(text, line, at - line);
        if (before.contains(": ")) {
            return notYaml(
                    at,
                    "a second colon in one value",
                    "",
                    "quotes around the whole value, or the key in a line of its own");
        }
        int key = line;
        while (key < at && text[key] == ' ') {
            key++;
        }
        return notYaml(
                key,
                "a key cannot stand here",
                "",
                "the indentation of the keys above it, and a colon behind each of them");
    }

    private static Hint flow(int at, int begin, boolean mapping, Optional<Mark> context, int[] text) {
        String opening = mapping ? "{" : "[";
        String closing = mapping ? "}" : "]";
        int here = at < text.length ? text[at] : -1;
        if (context.isPresent() && lineStart(at, text) == lineStart(begin, text) && here == ':') {
            return notYaml(at, "a comma is missing before this key", "", "a comma between a value and the next key");
        }
        return notYaml(
                begin,
                "the bracket " + opening + " is not closed",
                "",
                closing + " behind its last value, and a comma between values");
    }

    private static Hint block(int at, int begin, boolean mapping, Optional<Mark> context, int[] text) {
        if (text[at] == '-' && at + 1 < text.length && text[at + 1] != ' ' && text[at + 1] != '\n') {
            return notYaml(
                    at, "a space is missing behind the dash", "", "a dash and a space before each item of a list");
        }
        int column = at - lineStart(at, text);
        int wanted = begin - lineStart(begin, text);
        if (column != wanted) {
            return notYaml(
                    at,
                    "this line begins in a column where nothing begins",
                    spaces(column),
                    "as many spaces as the lines it belongs to, such as line "
                            + (context.map(Mark::getLine).orElse(0) + 1) + " with " + spaces(wanted));
        }
        return mapping
                ? notYaml(at, "this does not fit between keys", "", "a key with a colon, as above it")
                : notYaml(
                        at, "this does not fit between the items of a list", "", "a dash and a space before each item");
    }

    private static String spaces(int count) {
        return count == 1 ? "1 space" : count + " spaces";
    }

    private static int lineStart(int at, int[] text) {
        int start = Math.min(at, text.length);
        while (start > 0 && text[start - 1] != '\n' && text[start - 1] != '\r') {
            start--;
        }
        return start;
    }

    /**
     * Explains an unknown key that comes from a slip of the keyboard.
     *
     * @param key the key
     * @param known the keys that are known
     * @return the key that was meant if the space behind its colon is missing
     */
    static Optional<String> keyWithoutSpace(String key, List<String> known) {
        int colon = key.indexOf(':');
        return colon > 0 && colon <= LONGEST_KEY
                ? known.stream().filter(key.substring(0, colon)::equals).findFirst()
                : Optional.empty();
    }
}
