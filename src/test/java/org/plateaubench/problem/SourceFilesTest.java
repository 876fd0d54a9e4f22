package org.plateaubench.problem;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assumptions.assumeFalse;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.PosixFilePermissions;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class SourceFilesTest {

    @TempDir
    Path folder;

    private Path plan;

    @BeforeEach
    void writePlan() throws IOException {
        plan = Files.writeString(folder.resolve("plan.yaml"), "title: x\n");
    }

    private static void assertProblem(Path path, ProblemCode code, String message, String needed, Parsed<?> parsed) {
        assertEquals(
                "%s: error: %s\n  needs %s\n  nothing was sent to the bench  [%s]"
                        .formatted(path, message, needed, code),
                parsed.problems().get(0).text());
    }

    @Test
    void readsExactBytesUnderThePathAsGiven() {
        SourceText text = SourceFiles.read(plan).value().orElseThrow();
        assertEquals(plan.toString(), text.label());
        assertArrayEquals(new byte[] {'t', 'i', 't', 'l', 'e', ':', ' ', 'x', '\n'}, text.bytes());
    }

    @Test
    void missingFile() {
        Path path = folder.resolve("none.yaml");
        assertProblem(
                path,
                ProblemCode.FILE_MISSING,
                "there is no such file",
                "the path of a YAML file",
                SourceFiles.read(path));
    }

    @Test
    void folderInsteadOfFile() {
        assertProblem(folder, ProblemCode.NOT_A_FILE, "this is a folder", "a YAML file", SourceFiles.read(folder));
    }

    @Test
    void deviceInsteadOfFile() {
        Path device = Path.of("/dev/zero");
        assumeTrue(Files.exists(device));
        assertProblem(
                device,
                ProblemCode.NOT_A_FILE,
                "this is a device or a pipe",
                "an ordinary YAML file",
                SourceFiles.read(device));
    }

    @Test
    void unreadableFile() throws IOException {
        Files.setPosixFilePermissions(plan, PosixFilePermissions.fromString("---------"));
        assumeFalse(Files.isReadable(plan), "the superuser may read everything");
        assertProblem(
                plan,
                ProblemCode.FILE_UNREADABLE,
                "this file may not be read",
                "permission to read it",
                SourceFiles.read(plan));
    }

    @Test
    void fileOfMoreThanAMebibyte() throws IOException {
        Files.write(plan, new byte[SourceFiles.MOST_BYTES + 1]);
        assertProblem(
                plan, ProblemCode.FILE_TOO_LARGE, "the file is too large", "1 MiB or less", SourceFiles.read(plan));
    }

    @Test
    void fileOfExactlyAMebibyteIsRead() throws IOException {
        Files.write(plan, new byte[SourceFiles.MOST_BYTES]);
        assertEquals(
                SourceFiles.MOST_BYTES,
                SourceFiles.read(plan).value().orElseThrow().bytes().length);
    }

    @Test
    void fileThatGrowsWhileItIsRead() {
        Parsed<SourceText> parsed = SourceFiles.read(plan, () -> {
            try {
                Files.writeString(plan, "more: y\n", StandardOpenOption.APPEND);
            } catch (IOException e) {
                throw new UncheckedIOException(e);
            }
        });
        assertProblem(
                plan,
                ProblemCode.FILE_CHANGED,
                "the file changed while it was read",
                "a file at rest: try again when it is saved",
                parsed);
    }

    @Test
    void resourceThatWasNotPackagedIsABug() {
        assertThrows(IllegalStateException.class, () -> SourceFiles.resource("/none.yaml", "none"));
    }
}
