package org.plateaubench.night;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.Optional;

/**
 * A request that a running night end safely: a file beside its record, called as the record and ".stop", that says who
 * asks.
 */
public final class StopRequest {

    private static final String SUFFIX = ".stop";
    private static final int LONGEST_NAME = 100;

    private final Path file;

    private StopRequest(Path file) {
        this.file = file;
    }

    /**
     * The request beside a record; it need not have been made.
     *
     * @param record the record's folder
     * @return the request
     */
    public static StopRequest beside(Path record) {
        return new StopRequest(record.resolveSibling(record.getFileName() + SUFFIX));
    }

    /**
     * Makes the request.
     *
     * @param by who asks
     * @throws IOException if it cannot be written
     */
    public void make(String by) throws IOException {
        Path unfinished = file.resolveSibling(file.getFileName() + ".tmp");
        Files.writeString(unfinished, by + "\n", StandardCharsets.UTF_8);
        Files.move(unfinished, file, StandardCopyOption.ATOMIC_MOVE);
    }

    /** {@return who asks, one line; empty while nobody does} */
    Optional<String> by() {
        if (!Files.isRegularFile(file, LinkOption.NOFOLLOW_LINKS)) {
            return Optional.empty();
        }
        String name = "";
        try {
            name = Files.readString(file, StandardCharsets.UTF_8)
                    .replaceAll("\\p{Cntrl}+", " ")
                    .strip();
        } catch (IOException e) {
            // That somebody asks is what counts.
        }
        return Optional.of(
                name.isEmpty() ? "a stop request" : name.substring(0, Math.min(LONGEST_NAME, name.length())));
    }

    /** Takes the request away: it was followed, or a night goes on after it. */
    void withdraw() {
        try {
            Files.deleteIfExists(file);
        } catch (IOException e) {
            // At the worst a night that goes on ends at once, and says who asked for it.
        }
    }
}
