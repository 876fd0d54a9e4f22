package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.Callable;
import java.util.stream.Stream;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;
import org.plateaubench.night.NightRun;
import org.plateaubench.night.Provenance;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.TrustFile;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.NightComparison;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.ReplayVerdict;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Runs a record's plan again. */
@Command(
        name = "replay",
        mixinStandardHelpOptions = true,
        description = {
            "The plan is the record's, byte for byte, and so are its order and, where they are needed, its levels. The new"
                    + " record names the first one in its provenance.",
            "On the same bench each step is judged by its E number, what errs alike in both nights left out. The rises of"
                    + " two benches cannot agree; there the difference between two fan sets is judged, which needs a record"
                    + " of each set on each bench: name the others with --with.",
            "Exit code 1 if the results do not agree or could not be judged. 'compare' with the same records prints the same"
                    + " numbers again, with --json for programs and --html with charts."
        },
        footer = {
            "",
            "Examples:",
            "  plateau replay records/20261124-221003-example-loop-a --bench loop.yaml",
            "  plateau replay RECORD-OF-B --bench other.yaml --with A --with REPLAY-OF-A"
        })
final class ReplayCommand implements Callable<Integer> {

    @Parameters(paramLabel = "RECORD", description = "the folder of the record to be replayed")
    private Path record;

    @Option(names = "--bench", paramLabel = "FILE", description = "the bench; without it the record's own bench file")
    private Path bench;

    @Option(names = "--fans", paramLabel = "FILE", description = "the fans; without it the record's own fans file")
    private Path fans;

    @Option(
            names = "--seed",
            paramLabel = "SEED",
            description =
                    "seed of a simulated night; without it the one after the record's, so that it is another night")
    private Long seed;

    @Option(
            names = "--with",
            paramLabel = "RECORD",
            description = "for another bench: a record of another fan set, on either bench; may be repeated")
    private List<Path> with = List.of();

    @Option(names = "--records", paramLabel = "DIR", defaultValue = "records", description = "folder of the new record")
    private Path records;

    @Mixin
    private RunOptions options;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        try {
            if (!audited(err)) {
                return Main.WRONG;
            }
            List<CompareCommand.Opened> given =
                    given().map(CompareCommand::open).toList();
            refuse(CompareCommand.reasons(given));
            NightFiles own = nights(given).get(0).files();
            NightFiles files = NightOptions.files(
                    own.planText(),
                    NightOptions.textOr(fans, own::fansText),
                    NightOptions.textOr(bench, own::benchText));
            OptionalLong firstSeed = Provenance.of(RecordFolder.open(record)).seed();
            long night = seed != null ? seed : firstSeed.orElse(0) + 1;
            boolean sameBench =
                    refuseWhatCannotBeJudged(nights(given), files, firstSeed.equals(OptionalLong.of(night)));
            if (!sameBench && with.isEmpty()) {
                err.println(
                        "on another bench only the difference between fan sets can be judged, so this replay alone will"
                                + " not be: replay a record of another set there as well, with --with");
            }
            NightRunner runner = new NightRunner(files, options, night, Optional.empty(), spec);
            Optional<Input.LevelsFrom> levels = sameBench ? levels(files) : Optional.empty();
            SealingKey key = Keys.forRun(err);
            Optional<NightRun.Finished> finished = runner.run(records, key, levels, facts(given.get(0)), NightRun::run);
            if (finished.isEmpty()) {
                return Exit.BENCH_FAULT.code();
            }
            Exit exit = finished.get().end().exit();
            Path replayed = finished.get().record();
            boolean ended = exit == Exit.DONE || exit == Exit.PASSES_MISSING;
            if (!ended || finished.get().sealed().isEmpty()) {
                out.println(ResultsText.mark(finished.get().results().simulated()) + "NOT JUDGED: "
                        + (ended
                                ? "the record is not sealed; once it is, 'compare' of both records judges it"
                                : "the night did not come to its end"));
                out.flush();
                return ended ? Main.WRONG : exit.code();
            }
            return judge(given, replayed, finished.get().results().simulated(), out) ? exit.code() : Main.WRONG;
        } catch (IOException e) {
            throw new Refusal(record + " cannot be replayed: " + Refusal.why(e), e);
        }
    }

    private Stream<Path> given() {
        return Stream.concat(Stream.of(record), with.stream());
    }

    /** Nothing is judged by a record that cannot be relied on. */
    private boolean audited(PrintWriter err) throws IOException {
        TrustFile trust = Keys.trust();
        for (Path each : given().toList()) {
            AuditReport audit = Audit.audit(each, AuditOptions.of(trust));
            if (audit.fails()) {
                err.println(each + " fails its audit; nothing was sent to the bench\n" + audit.text());
                return false;
            }
        }
        return true;
    }

    /**
     * Refuses before the night what would be refused after it.
     *
     * @return true if the replay is on the bench of the record
     */
    private boolean refuseWhatCannotBeJudged(List<ComparedNight> given, NightFiles files, boolean sameSeed) {
        List<String> reasons = new ArrayList<>();
        List<ComparedNight> nights = new ArrayList<>(given);
        ComparedNight first = nights.get(0);
        // Only its identities tell that a bench of another process is simulated: then it is so again.
        boolean simulated = files.bench().simulation().isPresent()
                || first.results().simulated()
                        && first.files().bench().simulation().isEmpty();
        ComparedNight again =
                new ComparedNight("the replay", "", files, NightResults.empty(files, simulated, "not begun", ""));
        boolean sameBench = again.benchIdentity().equals(first.benchIdentity());
        nights.add(again);
        reasons.addAll(NightComparison.forbiddenByFiles(nights));
        if (!first.set().equals(again.set())) {
            reasons.add("the record is of fan set " + first.set() + ", --fans names " + again.set());
        }
        if (first.results().steps().stream().allMatch(step -> Double.isNaN(step.expandedKelvin()))) {
            reasons.add(
                    record + " has no step with an interval: one is judged where it, or another one of its night, was"
                            + " repeated");
        }
        if (simulated && sameSeed) {
            reasons.add("the seed is the record's own, so nothing but the same night would come out");
        }
        if (sameBench && !with.isEmpty()) {
            reasons.add("--with is for another bench; on the record's own bench the record itself is judged by");
        }
        nights.stream()
                .filter(night -> !night.benchIdentity().equals(first.benchIdentity())
                        && !night.benchIdentity().equals(again.benchIdentity()))
                .forEach(night -> reasons.add(night.record() + " is of a third bench"));
        refuse(reasons);
        return sameBench;
    }

    private static void refuse(List<String> reasons) {
        if (!reasons.isEmpty()) {
            throw new Refusal("a replay could not be judged:\n  " + String.join("\n  ", reasons)
                    + "\nnothing was sent to the bench");
        }
    }

    private static List<ComparedNight> nights(List<CompareCommand.Opened> opened) {
        return opened.stream().flatMap(o -> o.night().stream()).toList();
    }

    /** Steps above the background are measured at the own levels of the first night, whatever the background is now. */
    private Optional<Input.LevelsFrom> levels(NightFiles files) {
        boolean needed = files.plan().thermal().stream()
                .flatMap(thermal -> thermal.steps().stream())
                .anyMatch(Measurement.Step.AboveBackground.class::isInstance);
        return needed ? Optional.of(OtherNightLevels.read(record, files)) : Optional.empty();
    }

    private static Map<String, Object> facts(CompareCommand.Opened first) {
        Map<String, Object> of = new LinkedHashMap<>();
        of.put("record", first.verified().name());
        of.put("tag_manifest_sha256", first.verified().tagManifestSha256().orElseThrow());
        of.put("signature_sha256", first.verified().signatureSha256().orElseThrow());
        return Map.of("replay-of", of);
    }

    private boolean judge(List<CompareCommand.Opened> given, Path replayed, boolean simulated, PrintWriter out) {
        List<CompareCommand.Opened> opened = new ArrayList<>(given);
        opened.add(1, CompareCommand.open(replayed));
        List<String> reasons = new ArrayList<>(CompareCommand.reasons(opened));
        try {
            if (reasons.isEmpty()) {
                List<ComparedNight> nights = nights(opened);
                NightComparison comparison = NightComparison.of(nights, Optional.empty(), 0.0);
                ReplayVerdict verdict = ReplayVerdict.of(nights.get(0), comparison);
                out.print(ReplayText.of(name(record), name(replayed), comparison));
                out.println(ResultsText.mark(simulated) + verdict.text());
                out.flush();
                return verdict.reproduced();
            }
        } catch (NightComparison.NotComparable e) {
            reasons.addAll(e.reasons());
        }
        out.println(ResultsText.mark(simulated) + "NOT JUDGED:");
        reasons.forEach(reason -> out.println("  " + reason));
        out.flush();
        return false;
    }

    private static String name(Path folder) {
        return folder.toAbsolutePath().normalize().getFileName().toString();
    }
}
