package org.plateaubench.plan;

import java.io.IOException;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.problem.Draft;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;

/**
 * The three files of a night, read and checked by themselves and against each other.
 *
 * @param plan what to do
 * @param fans which fan set is mounted
 * @param bench what it is done on
 * @param planText the plan's exact bytes
 * @param fansText the fans file's exact bytes
 * @param benchText the bench file's exact bytes
 */
public record NightFiles(
        Plan plan, FansFile fans, BenchFile bench, SourceText planText, SourceText fansText, SourceText benchText) {

    private static final String PLAN = "plan.yaml";
    private static final String FANS = "fans.yaml";
    private static final String BENCH = "bench.yaml";

    /** Where a record's files come from. */
    public interface Recorded {

        /**
         * Reads a file.
         *
         * @param name its name
         * @return its exact bytes
         * @throws IOException if it cannot be read
         */
        byte[] file(String name) throws IOException;
    }

    /**
     * Reads and checks the files of a record.
     *
     * @param record gives its files by their names
     * @return the night's files, or all problems of all three
     * @throws IOException if a file cannot be read
     */
    public static Parsed<NightFiles> recorded(Recorded record) throws IOException {
        return read(
                new SourceText(PLAN, record.file(PLAN)),
                new SourceText(FANS, record.file(FANS)),
                new SourceText(BENCH, record.file(BENCH)));
    }

    /** {@return the exact bytes of the files by the names that they have in a record} */
    public Map<String, byte[]> toRecord() {
        Map<String, byte[]> files = new LinkedHashMap<>();
        files.put(PLAN, planText.bytes());
        files.put(FANS, fansText.bytes());
        files.put(BENCH, benchText.bytes());
        return files;
    }

    /**
     * Reads and checks the files.
     *
     * @param plan text of the plan
     * @param fans text of the fans file
     * @param bench text of the bench file
     * @return the night's files, or all problems of all three: the plan's first, then the fans file's, then the bench
     *     file's, each in line order
     */
    public static Parsed<NightFiles> read(SourceText plan, SourceText fans, SourceText bench) {
        Draft<Plan> planDraft = PlanReader.draft(plan);
        Draft<FansFile> fansDraft = FansFileReader.draft(fans);
        Draft<BenchFile> benchDraft = BenchFileReader.draft(bench);
        NightChecks.check(planDraft, fansDraft, benchDraft);
        List<Problem> problems = new ArrayList<>();
        problems.addAll(planDraft.document().problems().inLineOrder());
        problems.addAll(fansDraft.document().problems().inLineOrder());
        problems.addAll(benchDraft.document().problems().inLineOrder());
        return problems.isEmpty()
                ? new Parsed<>(
                        Optional.of(new NightFiles(
                                planDraft.value().orElseThrow(),
                                fansDraft.value().orElseThrow(),
                                benchDraft.value().orElseThrow(),
                                plan,
                                fans,
                                bench)),
                        List.of())
                : new Parsed<>(Optional.empty(), problems);
    }

    /**
     * Checks what depends on when the night starts. For a simulated bench, whose start stands in its file, reading does
     * this already.
     *
     * @param start when the night starts
     * @return the problems, in line order; may be empty
     */
    public List<Problem> problemsWhenStartedAt(OffsetDateTime start) {
        Draft<Plan> draft = PlanReader.draft(planText);
        NightChecks.finishBy(draft, start);
        return draft.document().problems().inLineOrder();
    }

    /**
     * Checks what nobody need declare who sits by: that heat goes away and the fans run when this program falls silent.
     *
     * @return the problems of the bench file that forbid an unattended run, in line order; may be empty
     */
    public List<Problem> problemsWhenUnattended() {
        Draft<BenchFile> draft = BenchFileReader.draft(benchText);
        NightChecks.cutoffs(plan, draft);
        return draft.document().problems().inLineOrder();
    }

    /** {@return the simulated bench's file, which ships inside the program} */
    public static SourceText simulatedBench() {
        return SourceFiles.resource("/benches/simulated.yaml", "simulated.yaml (inside the program)");
    }

    /** {@return the fans file of the simulated bench's set A, which ships inside the program} */
    public static SourceText simulatedFans() {
        return SourceFiles.resource("/fans/a.yaml", "a.yaml (inside the program)");
    }
}
