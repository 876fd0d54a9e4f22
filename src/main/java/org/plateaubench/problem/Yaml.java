package org.plateaubench.problem;

import java.util.List;
import java.util.Optional;

/** A node of a YAML 1.2 document, with its place. */
public sealed interface Yaml {

    /** {@return the place of its value} */
    Place place();

    /** {@return the place that stands for it in a problem of the whole node: its key, or where it begins} */
    Place head();

    /** {@return its path from the top, such as "measurements[0].soak"; empty at the top} */
    String path();

    /** {@return the path of the node that holds it; empty at the top} */
    String parentPath();

    /** {@return what it is, in words, such as "a list"} */
    String kind();

    /** {@return the characters of a single value, quotes and escapes resolved; empty for a list or keys} */
    default String text() {
        return "";
    }

    /**
     * Goes down the document as far as it has the way.
     *
     * @param steps keys (text) and list indices (Integer)
     * @return the node there, or the last one on the way
     */
    default Yaml at(Object... steps) {
        Yaml node = this;
        for (Object step : steps) {
            Optional<Yaml> next = Optional.empty();
            if (node instanceof Mapping mapping && step instanceof String key) {
                next = mapping.value(key);
            } else if (node instanceof Sequence sequence
                    && step instanceof Integer index
                    && index < sequence.items().size()) {
                next = Optional.of(sequence.items().get(index));
            }
            if (next.isEmpty()) {
                return node;
            }
            node = next.get();
        }
        return node;
    }

    /**
     * A text, number, or nothing.
     *
     * @param place place of its value
     * @param head its key, or where it begins
     * @param path its path
     * @param parentPath path of the node that holds it
     * @param text its characters
     * @param plain true if it stands without quotes
     */
    record Scalar(Place place, Place head, String path, String parentPath, String text, boolean plain) implements Yaml {

        /** {@return true if there is no value} */
        public boolean isNull() {
            return plain && (text.isEmpty() || text.equals("~") || text.equals("null"));
        }

        @Override
        public String kind() {
            return isNull() ? "no value" : "the single value " + text;
        }
    }

    /**
     * A list.
     *
     * @param place where it begins
     * @param head its key, or where it begins
     * @param path its path
     * @param parentPath path of the node that holds it
     * @param items in file order
     */
    record Sequence(Place place, Place head, String path, String parentPath, List<Yaml> items) implements Yaml {
        /** Copies the list. */
        public Sequence {
            items = List.copyOf(items);
        }

        @Override
        public String kind() {
            return "a list";
        }
    }

    /**
     * Keys with values.
     *
     * @param place where it begins
     * @param head its key, or where it begins
     * @param path its path
     * @param parentPath path of the node that holds it
     * @param entries in file order; no key twice
     */
    record Mapping(Place place, Place head, String path, String parentPath, List<Entry> entries) implements Yaml {
        /** Copies the list. */
        public Mapping {
            entries = List.copyOf(entries);
        }

        /**
         * Finds a value.
         *
         * @param key its key
         * @return the value, or empty
         */
        public Optional<Yaml> value(String key) {
            return entries.stream().filter(e -> e.key().equals(key)).findFirst().map(Entry::value);
        }

        @Override
        public String kind() {
            return "keys with values";
        }
    }

    /**
     * A key with its value.
     *
     * @param key the key's text
     * @param keyPlace where the key stands
     * @param value the value
     */
    record Entry(String key, Place keyPlace, Yaml value) {}
}
