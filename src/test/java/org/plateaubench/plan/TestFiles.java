package org.plateaubench.plan;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;

/** The files that these tests read, and the three ways to read them. */
final class TestFiles {

    static final Path FILES = Path.of("src/test/resources/files");

    private TestFiles() {}

    /** A file of the valid ones, labelled by its name. */
    static SourceText valid(String name) {
        return named(FILES.resolve("valid").resolve(name));
    }

    static SourceText named(Path path) {
        byte[] bytes = SourceFiles.read(path).value().orElseThrow().bytes();
        return new SourceText(path.getFileName().toString(), bytes);
    }

    static SourceText text(String label, String text) {
        return new SourceText(label, text.getBytes(StandardCharsets.UTF_8));
    }

    static String string(SourceText source) {
        return new String(source.bytes(), StandardCharsets.UTF_8);
    }

    static Parsed<NightFiles> readPlanOnSimulatedBench(SourceText plan) {
        return NightFiles.read(plan, NightFiles.simulatedFans(), NightFiles.simulatedBench());
    }

    static List<String> codes(List<Problem> problems) {
        return problems.stream().map(p -> p.code().name()).toList();
    }
}
