package org.plateaubench.problem;

import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.channels.SeekableByteChannel;
import java.nio.file.AccessDeniedException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.List;
import java.util.Optional;

/** Reads files that a person wrote: once, whole, and not too much. */
public final class SourceFiles {

    /** The most bytes that a plan, fans file or bench file may have. */
    public static final int MOST_BYTES = 1 << 20;

    static final String MOST_BYTES_TEXT = "1 MiB";

    private SourceFiles() {}

    /**
     * Reads a file.
     *
     * @param path where it is; its text as given labels the file in messages
     * @return its bytes, or the one problem: missing, a folder, no ordinary file, unreadable, too large, or changed while
     *     it was read
     */
    public static Parsed<SourceText> read(Path path) {
        return read(path, () -> {});
    }

    /** Reads a file; between reading and looking at it again runs what a test wants to happen meanwhile. */
    static Parsed<SourceText> read(Path path, Runnable meanwhile) {
        String label = path.toString();
        try {
            if (Files.isDirectory(path)) {
                return failed(label, ProblemCode.NOT_A_FILE, "this is a folder", "a YAML file");
            }
            BasicFileAttributes before = Files.readAttributes(path, BasicFileAttributes.class);
            if (!before.isRegularFile()) {
                return failed(label, ProblemCode.NOT_A_FILE, "this is a device or a pipe", "an ordinary YAML file");
            }
            byte[] bytes = readUpTo(path, MOST_BYTES + 1);
            if (bytes.length > MOST_BYTES) {
                return failed(label, ProblemCode.FILE_TOO_LARGE, "the file is too large", MOST_BYTES_TEXT + " or less");
            }
            meanwhile.run();
            BasicFileAttributes after = Files.readAttributes(path, BasicFileAttributes.class);
            if (after.size() != bytes.length || !after.lastModifiedTime().equals(before.lastModifiedTime())) {
                return failed(
                        label,
                        ProblemCode.FILE_CHANGED,
                        "the file changed while it was read",
                        "a file at rest: try again when it is saved");
            }
            return new Parsed<>(Optional.of(new SourceText(label, bytes)), List.of());
        } catch (NoSuchFileException e) {
            return failed(label, ProblemCode.FILE_MISSING, "there is no such file", "the path of a YAML file");
        } catch (AccessDeniedException e) {
            return failed(label, ProblemCode.FILE_UNREADABLE, "this file may not be read", "permission to read it");
        } catch (IOException e) {
            return failed(label, ProblemCode.FILE_UNREADABLE, "this file cannot be read", "a readable file");
        }
    }

    /**
     * Reads a file that ships inside the program.
     *
     * @param resource its absolute name, such as "/benches/simulated.yaml"
     * @param label how messages name it
     * @return its bytes
     * @throws IllegalStateException if the program was packaged without it
     */
    public static SourceText resource(String resource, String label) {
        try (InputStream in = SourceFiles.class.getResourceAsStream(resource)) {
            if (in == null) {
                throw new IllegalStateException("the program was packaged without " + resource);
            }
            return new SourceText(label, in.readAllBytes());
        } catch (IOException e) {
            throw new IllegalStateException("the program's own " + resource + " cannot be read", e);
        }
    }

    private static byte[] readUpTo(Path path, int most) throws IOException {
        try (SeekableByteChannel channel = Files.newByteChannel(path)) {
            ByteBuffer buffer = ByteBuffer.allocate((int) Math.min(most, channel.size() + 1));
            while (buffer.hasRemaining() && channel.read(buffer) >= 0) {
                // until the end of the file, or one byte more than it should have
            }
            byte[] bytes = new byte[buffer.position()];
            buffer.flip().get(bytes);
            return bytes;
        }
    }

    private static Parsed<SourceText> failed(String label, ProblemCode code, String message, String needed) {
        return new Parsed<>(Optional.empty(), List.of(Problem.ofWholeFile(label, code, message, needed)));
    }
}
