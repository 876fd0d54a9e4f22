package org.plateaubench.problem;

import java.util.Optional;

/**
 * A file as a YAML 1.2 document. The top is missing exactly if the text is no such document; then there are problems.
 *
 * @param root the top of the document
 * @param problems the collector of this file's problems; a duplicate key may already be among them
 */
public record Document(Optional<Yaml> root, Problems problems) {

    /**
     * Reads a text. Never throws, whatever the bytes are; time and memory grow with the number of bytes only.
     *
     * @param source the text
     * @return the document
     */
    public static Document of(SourceText source) {
        return new YamlReader(source).read();
    }
}
