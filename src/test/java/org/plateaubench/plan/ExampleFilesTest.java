package org.plateaubench.plan;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;

class ExampleFilesTest {

    private static final Path BENCH = Path.of("hardware-notes/benches/simulated.yaml");

    private static SourceText source(String path) {
        return SourceFiles.read(Path.of(path)).value().orElseThrow();
    }

    @ParameterizedTest
    @ValueSource(strings = {"protocols/first-night.yaml"})
    void planReadsWithoutProblemsOnTheSimulatedBench(String plan) {
        var parsed = NightFiles.read(source(plan), NightFiles.simulatedFans(), NightFiles.simulatedBench());
        assertEquals(List.of(), parsed.problems());
    }

    @ParameterizedTest
    @ValueSource(strings = {"protocols/fans/a.yaml", "protocols/fans/b.yaml"})
    void fansFileReadsWithoutProblems(String fans) {
        assertEquals(List.of(), FansFileReader.read(source(fans)).problems());
    }

    @Test
    void programCarriesTheSimulatedBenchAsItStandsInTheNotes() throws Exception {
        assertArrayEquals(Files.readAllBytes(BENCH), NightFiles.simulatedBench().bytes());
    }
}
