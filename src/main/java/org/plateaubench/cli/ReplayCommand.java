package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
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
import org.plateaubench.record.Verified;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.NightComparison;
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
                    + " numbers again, with --json for programs."
        },
        footer = {
            "",
            "Examples:",
            "  plateau replay records/20261124-221003-example-loop-a --bench example-loop.yaml",
            "  plateau replay RECORD-OF-B --bench other.yaml --with RECORD-OF-A --with REPLAY-OF-A"
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

    @Option(names = "--with", paramLabel = "RECORD", description = "another record to judge by; may be repeated")
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
            AuditReport audit = Audit.audit(record, AuditOptions.of(Keys.trust()));
            if (audit.fails()) {
                err.println("the record fails its audit; nothing was sent to the bench\n" + audit.text());
                return Main.WRONG;
            }
            RecordFolder first = RecordFolder.open(record);
            NightFiles own = RetraceCommand.files(first);
            NightFiles files = NightOptions.files(
                    own.planText(),
                    NightOptions.textOr(fans, own::fansText),
                    NightOptions.textOr(bench, own::benchText));
            refuseWhatCannotBeJudged(own, files);
            if (!sameBench(own, files) && with.isEmpty()) {
                err.println(
                        "on another bench only the difference between fan sets can be judged: this replay alone will"
                                + " not be. Replay a record of the other set there as well, with --with.");
            }
            long night = seed != null ? seed : Provenance.of(first).seed().orElse(0) + 1;
            NightRunner runner = new NightRunner(files, options, night, Optional.empty(), spec);
            Optional<Input.LevelsFrom> levels = sameBench(own, files) ? levels(files) : Optional.empty();
            SealingKey key = Keys.forRun(err);
            Optional<NightRun.Finished> finished = runner.run(records, key, levels, facts(first), NightRun::run);
            if (finished.isEmpty()) {
                return Exit.BENCH_FAULT.code();
            }
            Exit exit = finished.get().end().exit();
            if (exit != Exit.DONE && exit != Exit.PASSES_MISSING) {
                out.println("not judged: the night did not come to its end");
                out.flush();
                return exit.code();
            }
            return judge(finished.get().record(), out) ? exit.code() : Main.WRONG;
        } catch (IOException e) {
            throw new Refusal(record + " cannot be replayed: " + e.getMessage(), e);
        }
    }

    /** Better before a night than after it. */
    private void refuseWhatCannotBeJudged(NightFiles own, NightFiles files) {
        List<String> reasons = new ArrayList<>(CompareCommand.reasons(Stream.concat(Stream.of(record), with.stream())
                .map(CompareCommand::open)
                .toList()));
        if (!own.fans().set().equals(files.fans().set())) {
            reasons.add("the record is of fan set " + own.fans().set() + ", --fans names "
                    + files.fans().set());
        }
        boolean simulatedNow = files.bench().simulation().isPresent();
        if (own.bench().simulation().isPresent() != simulatedNow) {
            reasons.add("the record's bench is "
                    + (simulatedNow ? "no simulated one, this one is" : "simulated, this one is not")
                    + "; what is simulated says nothing about what is measured");
        }
        if (!reasons.isEmpty()) {
            throw new Refusal("a replay could not be judged:\n  " + String.join("\n  ", reasons)
                    + "\nnothing was sent to the bench");
        }
    }

    private static boolean sameBench(NightFiles one, NightFiles other) {
        return one.bench().name().equals(other.bench().name())
                && one.bench().configuration().equals(other.bench().configuration());
    }

    /** Steps above the background are measured at the own levels of the first night, whatever the background is now. */
    private Optional<Input.LevelsFrom> levels(NightFiles files) {
        boolean needed = files.plan().thermal().stream()
                .flatMap(thermal -> thermal.steps().stream())
                .anyMatch(Measurement.Step.AboveBackground.class::isInstance);
        return needed ? Optional.of(OtherNightLevels.read(record, files)) : Optional.empty();
    }

    private Map<String, Object> facts(RecordFolder first) throws IOException {
        Map<String, Object> of = new LinkedHashMap<>();
        of.put("record", first.name());
        of.put(
                "tag_manifest_sha256",
                Verified.butForLines(record).tagManifestSha256().orElseThrow());
        return Map.of("replay-of", of);
    }

    private boolean judge(Path replayed, PrintWriter out) {
        List<CompareCommand.Opened> opened = Stream.concat(Stream.of(record, replayed), with.stream())
                .map(CompareCommand::open)
                .toList();
        List<String> reasons = new ArrayList<>(CompareCommand.reasons(opened));
        try {
            if (reasons.isEmpty()) {
                List<ComparedNight> nights =
                        opened.stream().flatMap(o -> o.night().stream()).toList();
                NightComparison comparison = NightComparison.of(nights, Optional.empty(), 0.0);
                ReplayVerdict verdict = ReplayVerdict.of(nights.get(0), nights.get(1), comparison);
                out.print(ComparisonText.of(comparison));
                out.println((comparison.simulated() ? "SIMULATED  " : "") + verdict.text());
                out.flush();
                return verdict.reproduced();
            }
        } catch (NightComparison.NotComparable e) {
            reasons.addAll(e.reasons());
        }
        out.println("NOT JUDGED:");
        reasons.forEach(reason -> out.println("  " + reason));
        out.flush();
        return false;
    }
}
