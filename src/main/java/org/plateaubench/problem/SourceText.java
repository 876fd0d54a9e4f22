package org.plateaubench.problem;

import java.util.Arrays;

/**
 * A file as it was read, once: its exact bytes go into the record.
 *
 * @param label how messages name it, usually the path that the user typed
 * @param bytes its bytes; not to be changed
 */
public record SourceText(String label, byte[] bytes) {

    @Override
    public boolean equals(Object other) {
        return other instanceof SourceText s && label.equals(s.label) && Arrays.equals(bytes, s.bytes);
    }

    @Override
    public int hashCode() {
        return 31 * label.hashCode() + Arrays.hashCode(bytes);
    }

    @Override
    public String toString() {
        return label + " (" + bytes.length + " bytes)";
    }
}
