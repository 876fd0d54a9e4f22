package org.plateaubench.cli;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.SourceFiles;
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
        Parsed<SourceText> text = path == null
                ? new Parsed<>(Optional.of(NightFiles.simulatedBench()), List.of())
                : SourceFiles.read(path);
        return text.value().orElseThrow(() -> new Refusal(NightOptions.text(text.problems())));
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
