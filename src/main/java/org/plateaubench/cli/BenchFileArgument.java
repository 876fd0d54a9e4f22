package org.plateaubench.cli;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.SourceText;

/** The bench file of a command that needs no plan. */
final class BenchFileArgument {

    private BenchFileArgument() {}

    /**
     * Reads a bench file's text.
     *
     * @param path where it is; null for the simulated bench inside the program
     * @return its text
     * @throws Refusal if it cannot be read
     */
    static SourceText text(Path path) {
        return NightOptions.textOr(path, NightFiles::simulatedBench);
    }

    /**
     * Reads a bench file.
     *
     * @param path where it is; null for the simulated bench inside the program
     * @return the bench
     * @throws Refusal with all its problems, if it has any
     */
    static BenchFile read(Path path) {
        return read(text(path));
    }

    /**
     * Puts a changed text in the place of a bench file, at once or not at all.
     *
     * @param path the bench file
     * @param before what was read from it
     * @param text what is to stand there
     * @throws Refusal if the changed text is no bench file, or somebody else changed the file meanwhile
     * @throws IOException if it cannot be written; then the file is as it was
     */
    static void replace(Path path, SourceText before, String text) throws IOException {
        SourceText after = new SourceText(path.toString(), text.getBytes(StandardCharsets.UTF_8));
        read(after);
        if (!text(path).equals(before)) {
            throw new Refusal(path + " was changed by somebody else meanwhile, and is left so");
        }
        Path place = path.toRealPath();
        Path written =
                Files.createTempFile(place.getParent(), place.getFileName().toString(), ".new");
        try {
            Files.write(written, after.bytes());
            if (Files.getFileStore(place).supportsFileAttributeView("posix")) {
                Files.setPosixFilePermissions(written, Files.getPosixFilePermissions(place));
            }
            Files.move(written, place, StandardCopyOption.ATOMIC_MOVE);
        } finally {
            Files.deleteIfExists(written);
        }
    }

    /**
     * Reads a bench file.
     *
     * @param text its text
     * @return the bench
     * @throws Refusal with all its problems, if it has any
     */
    static BenchFile read(SourceText text) {
        Parsed<BenchFile> file = BenchFileReader.read(text);
        return file.value().orElseThrow(() -> new Refusal(NightOptions.text(file.problems())));
    }
}
