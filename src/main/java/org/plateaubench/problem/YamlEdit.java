package org.plateaubench.problem;

import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Optional;
import org.snakeyaml.engine.v2.api.LoadSettings;
import org.snakeyaml.engine.v2.api.lowlevel.Parse;
import org.snakeyaml.engine.v2.events.Event;
import org.snakeyaml.engine.v2.events.MappingStartEvent;
import org.snakeyaml.engine.v2.events.ScalarEvent;
import org.snakeyaml.engine.v2.events.SequenceStartEvent;
import org.snakeyaml.engine.v2.exceptions.Mark;

/**
 * Changes single values in the text of a YAML file that a person wrote. Everything else stays as it is, to the last
 * blank: comments, order, quotes, line ends.
 */
public final class YamlEdit {

    private final int[] points;
    private final String lineEnd;
    private Iterator<Event> events;
    private Event next;

    private YamlEdit(String text) {
        this.points = text.codePoints().toArray();
        this.lineEnd = text.contains("\r\n") ? "\r\n" : "\n";
    }

    /** Where a node begins and ends in the text, in code points; the end is behind its last character. */
    private record Node(int begin, int end, boolean flow, List<Pair> pairs) {}

    /** A key with its value. */
    private record Pair(String key, int keyBegin, Node value) {}

    /**
     * Gives a key its value; one that is not there is put behind the others of its mapping.
     *
     * @param text a YAML document that was read without problems
     * @param path keys from the top down to this one; all but the last must be there, and hold keys themselves
     * @param value the value as it is to stand in the text, on one line
     * @return the changed text
     * @throws IllegalArgumentException if a key on the way is not there or holds none
     */
    public static String set(String text, List<String> path, String value) {
        YamlEdit edit = new YamlEdit(text);
        Node parent = edit.find(path.subList(0, path.size() - 1));
        String key = path.get(path.size() - 1);
        Optional<Pair> pair =
                parent.pairs().stream().filter(p -> p.key().equals(key)).findFirst();
        if (pair.isPresent()) {
            Node old = pair.get().value();
            return edit.replaced(old.begin(), old.end(), old.begin() == old.end() ? " " + value : value);
        }
        if (parent.pairs().isEmpty()) {
            return edit.replaced(parent.begin(), parent.end(), "{ " + key + ": " + value + " }");
        }
        int behind = parent.pairs().get(parent.pairs().size() - 1).value().end();
        if (parent.flow()) {
            return edit.replaced(behind, behind, ", " + key + ": " + value);
        }
        int lineBreak = edit.endOfLine(behind);
        int first = parent.pairs().get(0).keyBegin();
        String indent = " ".repeat(first - edit.beginOfLine(first));
        return edit.replaced(lineBreak, lineBreak, edit.lineEnd + indent + key + ": " + value);
    }

    /**
     * Puts a comment on a line of its own above a key.
     *
     * @param text a YAML document that was read without problems
     * @param path keys from the top down to this one
     * @param comment one line, without the number sign
     * @return the changed text
     * @throws IllegalArgumentException if a key is not there
     */
    public static String commentAbove(String text, List<String> path, String comment) {
        YamlEdit edit = new YamlEdit(text);
        Node parent = edit.find(path.subList(0, path.size() - 1));
        int key = parent.pairs().stream()
                .filter(p -> p.key().equals(path.get(path.size() - 1)))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("there is no " + String.join(".", path)))
                .keyBegin();
        int line = edit.beginOfLine(key);
        int indented = line;
        while (edit.points[indented] == ' ') {
            indented++;
        }
        return edit.replaced(line, line, " ".repeat(indented - line) + "# " + comment + edit.lineEnd);
    }

    private String replaced(int begin, int end, String by) {
        return new String(points, 0, begin) + by + new String(points, end, points.length - end);
    }

    private int beginOfLine(int at) {
        int begin = at;
        while (begin > 0 && points[begin - 1] != '\n' && points[begin - 1] != '\r') {
            begin--;
        }
        return begin;
    }

    private int endOfLine(int at) {
        int end = at;
        while (end < points.length && points[end] != '\n' && points[end] != '\r') {
            end++;
        }
        return end;
    }

    private Node find(List<String> path) {
        events = new Parse(LoadSettings.builder()
                        .setCodePointLimit(Integer.MAX_VALUE)
                        .build())
                .parseString(new String(points, 0, points.length))
                .iterator();
        do {
            next = events.next();
        } while (next.getEventId() == Event.ID.StreamStart || next.getEventId() == Event.ID.DocumentStart);
        Node node = node();
        for (String key : path) {
            node = node.pairs().stream()
                    .filter(p -> p.key().equals(key))
                    .findFirst()
                    .map(Pair::value)
                    .orElseThrow(() -> new IllegalArgumentException("there is no key " + key + " where it should be"));
        }
        return node;
    }

    /** The next node; to the parser a folded text goes on to where the next line of another begins, but not here. */
    private Node node() {
        int begin = begin(next);
        if (next instanceof ScalarEvent) {
            int end = end(next);
            while (end > begin && Character.isWhitespace(points[end - 1])) {
                end--;
            }
            next = events.next();
            return new Node(begin, end, true, List.of());
        }
        if (next instanceof MappingStartEvent mapping) {
            return collection(Event.ID.MappingEnd, begin, mapping.isFlow());
        }
        if (next instanceof SequenceStartEvent sequence) {
            return collection(Event.ID.SequenceEnd, begin, sequence.isFlow());
        }
        throw new IllegalArgumentException("only texts, lists and keys can be changed here");
    }

    /** What stands between brackets ends with its bracket; what stands on lines ends with its last value. */
    private Node collection(Event.ID ending, int begin, boolean flow) {
        next = events.next();
        List<Pair> pairs = new ArrayList<>();
        int end = begin;
        while (next.getEventId() != ending) {
            String key = next instanceof ScalarEvent scalar ? scalar.getValue() : "";
            int keyBegin = begin(next);
            Node item = node();
            if (ending == Event.ID.MappingEnd) {
                Node value = node();
                pairs.add(new Pair(key, keyBegin, value));
                item = value;
            }
            end = item.end();
        }
        if (flow) {
            end = end(next);
        }
        next = events.next();
        return new Node(begin, end, flow, pairs);
    }

    private static int begin(Event event) {
        return event.getStartMark().map(Mark::getIndex).orElseThrow();
    }

    private static int end(Event event) {
        return event.getEndMark().map(Mark::getIndex).orElseThrow();
    }
}
