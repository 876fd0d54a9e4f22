package org.plateaubench.cli;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Supplier;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** The three files of a night as options. */
final class NightOptions {

    @Parameters(paramLabel = "PLAN", description = "the test plan")
    private Path plan;

    @Option(
            names = "--fans",
            paramLabel = "FILE",
            description = "which fan set is mounted; the simulated bench has set A")
    private Path fans;

    @Option(names = "--bench", paramLabel = "FILE", description = "the bench; without it the simulated bench is used")
    private Path bench;

    @Option(
            names = "--seed",
            paramLabel = "SEED",
            description = "seed of a simulated night, instead of the bench file's")
    private Long seed;

    /**
     * Reads and checks all files.
     *
     * @return the night's files
     * @throws Refusal with all problems, if there are any; nothing was sent to the bench
     */
    NightFiles read() {
        List<Problem> problems = new ArrayList<>();
        SourceText planText = text(SourceFiles.read(plan), problems);
        SourceText fansText = fans == null ? NightFiles.simulatedFans() : text(SourceFiles.read(fans), problems);
        SourceText benchText = bench == null ? NightFiles.simulatedBench() : text(SourceFiles.read(bench), problems);
        if (!problems.isEmpty()) {
            throw new Refusal(text(problems));
        }
        if (fans == null) {
            refuseUnlessSimulated(BenchFileArgument.read(benchText));
        }
        return files(planText, fansText, benchText);
    }

    /**
     * Refuses a bench whose fans are not named.
     *
     * @param bench the bench
     * @throws Refusal if it is a real one: only the simulated bench has a fan set by itself
     */
    static void refuseUnlessSimulated(BenchFile bench) {
        if (bench.simulation().isEmpty()) {
            throw new Refusal("a real bench needs --fans FILE: which fan set is mounted, and how. For example"
                    + " protocols/fans/a.yaml. Nothing was sent to the bench.");
        }
    }

    /**
     * A file's text, or what stands for it.
     *
     * @param file the file; null: none was given
     * @param otherwise gives the text without it
     * @return the text
     * @throws Refusal if the file cannot be read
     */
    static SourceText textOr(Path file, Supplier<SourceText> otherwise) {
        if (file == null) {
            return otherwise.get();
        }
        Parsed<SourceText> read = SourceFiles.read(file);
        return read.value().orElseThrow(() -> new Refusal(text(read.problems())));
    }

    /**
     * Checks the three texts.
     *
     * @param plan the plan
     * @param fans the fans file
     * @param bench the bench file
     * @return the night's files
     * @throws Refusal with all problems, if there are any; nothing was sent to the bench
     */
    static NightFiles files(SourceText plan, SourceText fans, SourceText bench) {
        Parsed<NightFiles> files = NightFiles.read(plan, fans, bench);
        return files.value().orElseThrow(() -> new Refusal(text(files.problems())));
    }

    private static SourceText text(Parsed<SourceText> parsed, List<Problem> problems) {
        problems.addAll(parsed.problems());
        return parsed.value().orElse(null);
    }

    static String text(List<Problem> problems) {
        StringBuilder text = new StringBuilder();
        problems.forEach(p -> text.append(p).append("\n"));
        return text.append(problems.size() == 1 ? "1 problem" : problems.size() + " problems")
                .append("; nothing was sent to the bench")
                .toString();
    }

    /**
     * The seed of a simulated night.
     *
     * @param files the night's files
     * @return the seed that was given, or the bench file's, or 1 for the twin of a real bench
     */
    long seed(NightFiles files) {
        return seed != null ? seed : usualSeed(files);
    }

    /** The bench file's seed, or 1 for the twin of a real bench. */
    static long usualSeed(NightFiles files) {
        return files.bench().simulation().map(SimulationSpec::seed).orElse(1L);
    }
}
