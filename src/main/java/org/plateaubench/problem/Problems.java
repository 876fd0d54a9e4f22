package org.plateaubench.problem;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/** Collects the problems of one file while it is read and checked. */
public final class Problems {

    private final String file;
    private final List<String> lines;
    private final List<Problem> problems = new ArrayList<>();
    private final List<String> paths = new ArrayList<>();

    /**
     * A collector without problems.
     *
     * @param file the file's label
     * @param lines its lines, without their ends
     */
    Problems(String file, List<String> lines) {
        this.file = file;
        this.lines = lines;
    }

    /**
     * Adds a problem of a value.
     *
     * @param node the node whose value is wrong
     * @param code stable name
     * @param message what is wrong, one line
     * @param found what was found; empty if the message says it all
     * @param needed what is needed
     */
    public void add(Yaml node, ProblemCode code, String message, String found, String needed) {
        Place place = node instanceof Yaml.Scalar s && !s.isNull() ? s.place() : node.head();
        add(place, node.path(), node.parentPath(), code, message, found, needed);
    }

    /**
     * Adds a problem that has a place of its own, such as that of a key.
     *
     * @param place where it is
     * @param node the node that it is in
     * @param code stable name
     * @param message what is wrong, one line
     * @param found what was found; empty if the message says it all
     * @param needed what is needed
     */
    public void addIn(Place place, Yaml node, ProblemCode code, String message, String found, String needed) {
        add(place, node.path(), node.path(), code, message, found, needed);
    }

    /**
     * Adds a problem of two parts that do not go together; what was found is the text of the first.
     *
     * @param node the node whose value is to be changed
     * @param code stable name
     * @param message what does not go together, one line
     * @param needed what is needed
     */
    public void conflict(Yaml node, ProblemCode code, String message, String needed) {
        add(node, code, message, node.text(), needed);
    }

    /**
     * Adds the problem of a name that names nothing.
     *
     * @param node the node with the name
     * @param code stable name
     * @param message what is wrong, up to the name, such as "the bench has no channel "
     * @param name the name
     * @param names the names that exist
     */
    public void unknownName(Yaml node, ProblemCode code, String message, String name, List<String> names) {
        add(
                node,
                code,
                NearMiss.hint(message + name, NearMiss.nearest(name, names)),
                "",
                names.isEmpty() ? "one in the bench file, which has none" : "one of " + String.join(", ", names));
    }

    void add(
            Place place, String path, String shownPath, ProblemCode code, String message, String found, String needed) {
        String line = place.line() < 0 ? "" : lines.get(place.line());
        problems.add(new Problem(file, place, line, message, found, needed, shownPath, code));
        paths.add(path);
    }

    /**
     * Tells whether anything at or below a path is in doubt, so that nothing more should be concluded from it.
     *
     * @param path path of a node, such as "channels.coolant"
     * @return true if a problem was added there
     */
    public boolean within(String path) {
        return paths.stream().anyMatch(p -> p.equals(path) || p.startsWith(path + ".") || p.startsWith(path + "["));
    }

    /** {@return true if there is no problem yet} */
    public boolean isEmpty() {
        return problems.isEmpty();
    }

    /** {@return all problems, in the order of lines and columns} */
    public List<Problem> inLineOrder() {
        return problems.stream()
                .sorted(Comparator.comparingInt((Problem p) -> p.place().line())
                        .thenComparingInt(p -> p.place().column()))
                .toList();
    }
}
