package org.plateaubench.problem;

import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.CharsetDecoder;
import java.nio.charset.CodingErrorAction;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.snakeyaml.engine.v2.api.LoadSettings;
import org.snakeyaml.engine.v2.api.lowlevel.Parse;
import org.snakeyaml.engine.v2.events.AliasEvent;
import org.snakeyaml.engine.v2.events.Event;
import org.snakeyaml.engine.v2.events.MappingStartEvent;
import org.snakeyaml.engine.v2.events.NodeEvent;
import org.snakeyaml.engine.v2.events.ScalarEvent;
import org.snakeyaml.engine.v2.events.SequenceStartEvent;
import org.snakeyaml.engine.v2.exceptions.Mark;
import org.snakeyaml.engine.v2.exceptions.MarkedYamlEngineException;
import org.snakeyaml.engine.v2.exceptions.YamlEngineException;

/**
 * Builds nodes from the events of the YAML parser. From events, not from composed nodes, so that an alias can never
 * grow and nesting ends where this class says: the composer would resolve aliases unseen and overflow the stack.
 */
final class YamlReader {

    private static final int DEEPEST = 32;
    private static final int BYTE_ORDER_MARK = 0xfeff;
    private static final int NEXT_LINE = 0x85;

    private final SourceText source;
    private int[] points = {};
    private int[] lineStarts = {0};
    private Problems problems;
    private Iterator<Event> events;
    private Event next;

    YamlReader(SourceText source) {
        this.source = source;
        this.problems = new Problems(source.label(), List.of(""));
    }

    Document read() {
        try {
            return new Document(Optional.of(readOrStop()), problems);
        } catch (Stop stop) {
            return new Document(Optional.empty(), problems);
        } catch (MarkedYamlEngineException e) {
            addSyntaxProblem(e);
        } catch (YamlEngineException e) {
            addAt(Place.WHOLE_FILE, "", ProblemCode.NOT_YAML, "this is not YAML 1.2", "", "YAML 1.2");
        }
        return new Document(Optional.empty(), problems);
    }

    private Yaml readOrStop() {
        if (source.bytes().length > SourceFiles.MOST_BYTES) {
            throw wholeFile(
                    ProblemCode.FILE_TOO_LARGE,
                    "the file is too large",
                    SourceFiles.MOST_BYTES_TEXT + " or less, found " + source.bytes().length + " bytes");
        }
        String text = decode();
        split(text);
        refuseControlCharacters();
        events = new Parse(LoadSettings.builder()
                        .setLabel(source.label())
                        .setCodePointLimit(Integer.MAX_VALUE)
                        .build())
                .parseString(text)
                .iterator();
        advance();
        expect(Event.ID.StreamStart);
        if (next.getEventId() == Event.ID.StreamEnd) {
            throw wholeFile(ProblemCode.EMPTY_FILE, "the file is empty", "keys with values, see the examples");
        }
        expect(Event.ID.DocumentStart);
        Yaml root = node("", "", Optional.empty(), 0);
        expect(Event.ID.DocumentEnd);
        if (next.getEventId() != Event.ID.StreamEnd) {
            throw stop(
                    placeOf(next),
                    "",
                    ProblemCode.SECOND_DOCUMENT,
                    "a second document begins here",
                    "one document a file");
        }
        return root;
    }

    // ---- from bytes to lines

    private String decode() {
        byte[] bytes = source.bytes();
        if (bytes.length >= 2
                && ((bytes[0] == (byte) 0xff && bytes[1] == (byte) 0xfe)
                        || (bytes[0] == (byte) 0xfe && bytes[1] == (byte) 0xff))) {
            throw wholeFile(
                    ProblemCode.NOT_UTF8, "the file is written in UTF-16", "UTF-8: save it again with that encoding");
        }
        CharsetDecoder decoder = StandardCharsets.UTF_8
                .newDecoder()
                .onMalformedInput(CodingErrorAction.REPORT)
                .onUnmappableCharacter(CodingErrorAction.REPORT);
        ByteBuffer in = ByteBuffer.wrap(bytes);
        String text;
        try {
            text = decoder.decode(in).toString();
        } catch (CharacterCodingException e) {
            split(new String(bytes, 0, in.position(), StandardCharsets.UTF_8) + "\ufffd");
            throw stop(
                    place(points.length - 1, points.length),
                    "",
                    ProblemCode.NOT_UTF8,
                    "this byte is not UTF-8 text",
                    hex(bytes[in.position()] & 0xff, 2) + " (hexadecimal)",
                    "UTF-8: save the file again with that encoding");
        }
        boolean marked = !text.isEmpty() && text.charAt(0) == BYTE_ORDER_MARK;
        return marked ? text.substring(1) : text;
    }

    private void split(String text) {
        points = text.codePoints().toArray();
        int[] starts = new int[points.length + 2];
        int count = 1;
        List<String> lines = new ArrayList<>();
        for (int i = 0; i < points.length; i++) {
            boolean carriageReturn = points[i] == '\r';
            if (points[i] == '\n' || carriageReturn) {
                lines.add(new String(points, starts[count - 1], i - starts[count - 1]));
                if (carriageReturn && i + 1 < points.length && points[i + 1] == '\n') {
                    i++;
                }
                starts[count] = i + 1;
                count++;
            }
        }
        lines.add(new String(points, starts[count - 1], points.length - starts[count - 1]));
        lineStarts = Arrays.copyOf(starts, count);
        problems = new Problems(source.label(), List.copyOf(lines));
    }

    private void refuseControlCharacters() {
        for (int i = 0; i < points.length; i++) {
            int point = points[i];
            boolean allowed = point == '\n'
                    || point == '\r'
                    || point == '\t'
                    || (point >= ' ' && point < 0x7f)
                    || (point > 0x9f && point != 0xfffe && point != 0xffff && point != BYTE_ORDER_MARK);
            if (!allowed) {
                throw stop(
                        place(i, i + 1),
                        "",
                        ProblemCode.CONTROL_CHARACTER,
                        "a character that no text holds",
                        "U+" + hex(point, 4) + (point == NEXT_LINE ? " (an old line end)" : ""),
                        "text without control characters");
            }
        }
    }

    private static String hex(int value, int digits) {
        String text = Integer.toHexString(value).toUpperCase(Locale.ROOT);
        return "0".repeat(Math.max(0, digits - text.length())) + text;
    }

    // ---- from events to nodes

    private void advance() {
        next = events.next();
    }

    private void expect(Event.ID id) {
        if (next.getEventId() != id) {
            throw new IllegalStateException("the YAML parser gave " + next + " instead of " + id);
        }
        if (id != Event.ID.StreamEnd) {
            advance();
        }
    }

    private Yaml node(String path, String parentPath, Optional<Place> key, int depth) {
        Place place = placeOf(next);
        Place head = key.orElse(place);
        if (depth > DEEPEST) {
            throw stop(
                    place,
                    parentPath,
                    ProblemCode.NESTED_TOO_DEEPLY,
                    "lists and keys are nested too deeply",
                    "at most " + DEEPEST + " levels");
        }
        if (next instanceof AliasEvent
                || (next instanceof NodeEvent n && n.getAnchor().isPresent())) {
            throw stop(
                    place,
                    parentPath,
                    ProblemCode.ALIAS,
                    "anchors (&) and aliases (*) are not used here",
                    "the value itself, written out");
        }
        if (next instanceof ScalarEvent scalar) {
            refuseTag(scalar.getTag(), place, parentPath);
            advance();
            return new Yaml.Scalar(place, head, path, parentPath, scalar.getValue(), scalar.isPlain());
        }
        if (next instanceof SequenceStartEvent sequence) {
            refuseTag(sequence.getTag(), place, parentPath);
            return sequence(path, parentPath, place, head, depth);
        }
        refuseTag(((MappingStartEvent) next).getTag(), place, parentPath);
        return mapping(path, parentPath, place, head, depth);
    }

    private void refuseTag(Optional<String> tag, Place place, String parentPath) {
        if (tag.isPresent()) {
            throw stop(place, parentPath, ProblemCode.TAG, "tags (!) are not used here", "the value without a tag");
        }
    }

    private Yaml sequence(String path, String parentPath, Place place, Place head, int depth) {
        advance();
        List<Yaml> items = new ArrayList<>();
        while (next.getEventId() != Event.ID.SequenceEnd) {
            items.add(node(path + "[" + items.size() + "]", path, Optional.empty(), depth + 1));
        }
        advance();
        return new Yaml.Sequence(place, head, path, parentPath, items);
    }

    private Yaml mapping(String path, String parentPath, Place place, Place head, int depth) {
        advance();
        List<Yaml.Entry> entries = new ArrayList<>();
        Map<String, Place> seen = new HashMap<>();
        while (next.getEventId() != Event.ID.MappingEnd) {
            Place keyPlace = placeOf(next);
            Yaml keyNode = node(path, path, Optional.empty(), depth + 1);
            if (!(keyNode instanceof Yaml.Scalar key)) {
                throw stop(keyPlace, path, ProblemCode.KEY_NOT_TEXT, "a key must be a word", keyNode.kind(), "a word");
            }
            String name = key.text();
            String childPath = path.isEmpty() ? name : path + "." + name;
            Yaml value = node(childPath, path, Optional.of(keyPlace), depth + 1);
            Place first = seen.putIfAbsent(name, keyPlace);
            Optional<Yaml.Entry> joined = decimalComma(entries, key, value);
            if (joined.isPresent()) {
                entries.set(entries.size() - 1, joined.get());
            } else if (first == null) {
                entries.add(new Yaml.Entry(name, keyPlace, value));
            } else {
                problems.add(
                        keyPlace,
                        childPath,
                        path,
                        ProblemCode.DUPLICATE_KEY,
                        "the key " + name + " stands here twice",
                        "it first in line " + (first.line() + 1),
                        "each key once");
            }
        }
        advance();
        return new Yaml.Mapping(place, head, path, parentPath, entries);
    }

    /**
     * Between brackets YAML takes "within: 2,5 %" as the value 2 and a key "5 %" without value. The two are joined again,
     * so that the comma can be explained.
     */
    private static Optional<Yaml.Entry> decimalComma(List<Yaml.Entry> entries, Yaml.Scalar key, Yaml value) {
        boolean bareKey = key.plain()
                && !key.text().isEmpty()
                && Character.isDigit(key.text().charAt(0));
        if (!bareKey || entries.isEmpty() || !(value instanceof Yaml.Scalar v && v.isNull())) {
            return Optional.empty();
        }
        Yaml.Entry before = entries.get(entries.size() - 1);
        if (!(before.value() instanceof Yaml.Scalar whole) || !whole.plain()) {
            return Optional.empty();
        }
        Place left = whole.place();
        Place right = key.place();
        int gap = right.column() - left.column() - left.length();
        if (left.line() != right.line() || gap != 1) {
            return Optional.empty();
        }
        Place both = new Place(left.line(), left.column(), left.length() + 1 + right.length());
        return Optional.of(new Yaml.Entry(
                before.key(),
                before.keyPlace(),
                new Yaml.Scalar(
                        both, whole.head(), whole.path(), whole.parentPath(), whole.text() + "," + key.text(), true)));
    }

    // ---- places and problems

    private Place placeOf(Event event) {
        int start = event.getStartMark().map(Mark::getIndex).orElse(0);
        boolean hasText = event instanceof ScalarEvent || event instanceof AliasEvent;
        int end = hasText ? event.getEndMark().map(Mark::getIndex).orElse(start) : start + 1;
        return place(start, end);
    }

    /** A stretch of the text, cut at the end of its first line. */
    private Place place(int start, int end) {
        int line = Arrays.binarySearch(lineStarts, start);
        if (line < 0) {
            line = -line - 2;
        }
        int lineEnd = start;
        while (lineEnd < Math.min(end, points.length) && points[lineEnd] != '\n' && points[lineEnd] != '\r') {
            lineEnd++;
        }
        return new Place(line, start - lineStarts[line], Math.max(1, lineEnd - start));
    }

    private void addSyntaxProblem(MarkedYamlEngineException e) {
        SyntaxHints.Hint hint = SyntaxHints.of(e, points);
        addAt(place(hint.index(), hint.index() + 1), "", hint.code(), hint.message(), hint.found(), hint.needed());
    }

    private void addAt(Place place, String path, ProblemCode code, String message, String found, String needed) {
        problems.add(place, path, path, code, message, found, needed);
    }

    private Stop wholeFile(ProblemCode code, String message, String needed) {
        return stop(Place.WHOLE_FILE, "", code, message, needed);
    }

    private Stop stop(Place place, String path, ProblemCode code, String message, String needed) {
        return stop(place, path, code, message, "", needed);
    }

    private Stop stop(Place place, String path, ProblemCode code, String message, String found, String needed) {
        addAt(place, path, code, message, found, needed);
        return new Stop();
    }

    /** Ends the reading where nothing sensible can follow; its problem is already in the list. */
    private static final class Stop extends RuntimeException {
        private static final long serialVersionUID = 1L;

        Stop() {
            super(null, null, false, false);
        }
    }
}
