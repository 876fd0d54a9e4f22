package org.plateaubench.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/** Keeps what is made of a record out of it. */
final class Outside {

    private Outside() {}

    /**
     * Checks that a file would not lie inside a record.
     *
     * @param record the record's folder
     * @param file where something is to be written
     * @throws Refusal if it lies inside
     * @throws IOException if a folder cannot be followed
     */
    static void of(Path record, Path file) throws IOException {
        Path folder = file.toAbsolutePath().normalize().getParent();
        if (folder != null && Files.isDirectory(folder) && folder.toRealPath().startsWith(record.toRealPath())) {
            throw new Refusal(file + " lies inside a record, which stays as it was sealed; name another place");
        }
    }
}
