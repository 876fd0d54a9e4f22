package org.plateaubench.plan;

import org.plateaubench.problem.Yaml;

/** Writes a document again, in braces and brackets, with one change. */
final class YamlText {

    /** What to change. */
    enum Change {
        /** Leave the node out. */
        REMOVE,
        /** Put a key into the node, if it has keys. */
        ADD,
        /** Put another value in the node's place. */
        REPLACE
    }

    private final String path;
    private final Change change;
    private final String word;
    private final StringBuilder text = new StringBuilder();

    private YamlText(String path, Change change, String word) {
        this.path = path;
        this.change = change;
        this.word = word;
    }

    /**
     * Writes a document.
     *
     * @param root its top
     * @param path path of the node to change
     * @param change what to change
     * @param word the key to add, or the YAML text of the other value
     * @return YAML
     */
    static String of(Yaml root, String path, Change change, String word) {
        YamlText writer = new YamlText(path, change, word);
        writer.write(root);
        return writer.text.append('\n').toString();
    }

    private boolean here(Yaml node, Change wanted) {
        return change == wanted && node.path().equals(path);
    }

    private void write(Yaml node) {
        if (here(node, Change.REPLACE)) {
            text.append(word);
        } else if (node instanceof Yaml.Mapping mapping) {
            text.append('{');
            for (Yaml.Entry entry : mapping.entries()) {
                if (!here(entry.value(), Change.REMOVE)) {
                    text.append(quoted(entry.key())).append(": ");
                    write(entry.value());
                    text.append(", ");
                }
            }
            text.append(here(node, Change.ADD) ? word + ": 1}" : "}");
        } else if (node instanceof Yaml.Sequence sequence) {
            text.append('[');
            for (Yaml item : sequence.items()) {
                if (!here(item, Change.REMOVE)) {
                    write(item);
                    text.append(", ");
                }
            }
            text.append(']');
        } else {
            boolean plain = node instanceof Yaml.Scalar scalar && scalar.plain();
            text.append(plain && !node.text().contains(": ") ? node.text() : quoted(node.text()));
        }
    }

    private static String quoted(String text) {
        return '"' + text.replace("\\", "\\\\").replace("\"", "\\\"").replace("\n", "\\n") + '"';
    }
}
