package org.plateaubench.plan;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.problem.SourceText;

/** Every plan, fans file and bench file that the project ships reads without problems. */
class ExampleFilesTest {

    private static List<Path> yamlFiles(String folder) throws IOException {
        try (Stream<Path> files = Files.list(Path.of(folder))) {
            return files.filter(f -> f.toString().endsWith(".yaml")).sorted().toList();
        }
    }

    static List<Path> plans() throws IOException {
        return yamlFiles("protocols");
    }

    static List<Path> fansFiles() throws IOException {
        return yamlFiles("protocols/fans");
    }

    static List<Path> benchFiles() throws IOException {
        return yamlFiles("hardware-notes/benches");
    }

    @ParameterizedTest
    @MethodSource("plans")
    void planSuitsTheSimulatedBench(Path plan) {
        assertEquals(
                List.of(),
                TestFiles.readPlanOnSimulatedBench(TestFiles.named(plan)).problems());
    }

    @ParameterizedTest
    @MethodSource("plans")
    void planSuitsTheExampleOfARealBench(Path plan) {
        SourceText fans = TestFiles.named(Path.of("protocols/fans/one-tachometer.yaml"));
        SourceText bench = TestFiles.named(Path.of("hardware-notes/benches/example-loop.yaml"));
        var parsed = NightFiles.read(TestFiles.named(plan), fans, bench);
        assertEquals(List.of(), parsed.problems());
        assertEquals(List.of(), parsed.value().orElseThrow().problemsWhenUnattended());
    }

    @ParameterizedTest
    @MethodSource("fansFiles")
    void fansFileReads(Path fans) {
        assertEquals(List.of(), FansFileReader.read(TestFiles.named(fans)).problems());
    }

    @ParameterizedTest
    @MethodSource("benchFiles")
    void benchFileReads(Path bench) {
        assertEquals(List.of(), BenchFileReader.read(TestFiles.named(bench)).problems());
    }

    @Test
    void programCarriesTheSimulatedBenchAndItsFansAsTheyStandInTheFolders() throws IOException {
        assertArrayEquals(
                Files.readAllBytes(Path.of("hardware-notes/benches/simulated.yaml")),
                NightFiles.simulatedBench().bytes());
        assertArrayEquals(
                Files.readAllBytes(Path.of("protocols/fans/a.yaml")),
                NightFiles.simulatedFans().bytes());
    }
}
