package org.plateaubench.plan;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.SourceText;

/**
 * Every faulty file has one fault, is named for it, and has the whole message beside it. Regression: the messages were
 * read by a person once, and change only on purpose.
 */
class FaultyFilesTest {

    private static final Path FAULTY = TestFiles.FILES.resolve("faulty");
    private static final Pattern CLASS_NAME = Pattern.compile("Exception|java\\.|org\\.|@[0-9a-f]{6}|null\\b");

    /** Problems of files as such, of sizes and of unattended runs, which have tests of their own. */
    private static final Set<ProblemCode> TESTED_ELSEWHERE = EnumSet.of(
            ProblemCode.FILE_MISSING,
            ProblemCode.NOT_A_FILE,
            ProblemCode.FILE_UNREADABLE,
            ProblemCode.FILE_TOO_LARGE,
            ProblemCode.FILE_CHANGED,
            ProblemCode.EMPTY_FILE,
            ProblemCode.NOT_UTF8,
            ProblemCode.NESTED_TOO_DEEPLY,
            ProblemCode.CUTOFF_MISSING);

    private static final Map<Path, List<Problem>> ALREADY_READ = new HashMap<>();

    static List<Path> faultyFiles() throws IOException {
        try (Stream<Path> files = Files.walk(FAULTY)) {
            return files.filter(f -> f.toString().endsWith(".yaml")).sorted().toList();
        }
    }

    /** Reads a faulty file together with two valid ones; its folder says what it is and which bench it meets. */
    private static List<Problem> problems(Path faulty) {
        return ALREADY_READ.computeIfAbsent(faulty, FaultyFilesTest::read);
    }

    private static List<Problem> read(Path faulty) {
        String folder = faulty.getParent().getFileName().toString();
        SourceText text = TestFiles.named(faulty);
        if (folder.equals("dialects")) {
            return BenchFileReader.read(text).problems();
        }
        SourceText plan = TestFiles.valid("base-plan.yaml");
        SourceText fans = TestFiles.valid("base-fans.yaml");
        SourceText bench = TestFiles.valid("base-bench.yaml");
        if (folder.contains("real-bench") || folder.contains("bare-bench")) {
            fans = TestFiles.valid("everything-fans.yaml");
            bench = TestFiles.valid("everything-bench.yaml");
        }
        switch (folder) {
            case "plan", "plan-on-real-bench" -> plan = text;
            case "plan-on-bare-bench" -> {
                plan = text;
                bench = TestFiles.valid("bare-bench.yaml");
            }
            case "plan-on-real-bench-without-coolant-limit" -> {
                plan = text;
                bench = TestFiles.valid("bench-without-coolant-limit.yaml");
            }
            case "fans", "fans-on-real-bench" -> fans = text;
            case "bench", "real-bench" -> bench = text;
            default -> throw new IllegalStateException("nobody knows what to do with the folder " + folder);
        }
        return NightFiles.read(plan, fans, bench).problems();
    }

    @ParameterizedTest
    @MethodSource("faultyFiles")
    void messageIsTheOneBesideTheFile(Path faulty) throws IOException {
        String found = problems(faulty).stream().map(Problem::text).collect(Collectors.joining("\n\n")) + "\n";
        Path beside = Path.of(faulty.toString().replaceAll("yaml$", "txt"));
        assertEquals(Files.readString(beside), found);
        assertFalse(
                CLASS_NAME
                        .matcher(found.replaceAll("(?m)^ +[0-9 ]*\\|.*$|found .*;", ""))
                        .find(),
                found);
    }

    @Test
    void oneFaultGivesOneProblemWhereNoOtherFileIsInvolved() throws IOException {
        List<String> several = new ArrayList<>();
        for (Path faulty : faultyFiles()) {
            List<Problem> problems = problems(faulty);
            String label = faulty.getFileName().toString();
            if (problems.stream().filter(p -> p.file().equals(label)).count() != 1) {
                several.add(faulty + " " + TestFiles.codes(problems));
            }
        }
        assertEquals(List.of(), several);
    }

    @Test
    void thereAreEnoughOfThemForEveryKindOfProblem() throws IOException {
        Set<ProblemCode> seen = EnumSet.noneOf(ProblemCode.class);
        for (Path faulty : faultyFiles()) {
            problems(faulty).forEach(p -> seen.add(p.code()));
        }
        assertEquals(EnumSet.complementOf(EnumSet.copyOf(TESTED_ELSEWHERE)), seen);
        assertTrue(faultyFiles().size() >= 80);
    }
}
