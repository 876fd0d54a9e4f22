package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import java.util.function.Supplier;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Amendment;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Statement;
import org.plateaubench.record.Verified;
import org.plateaubench.report.ComparisonPage;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.ComparisonFiles;
import org.plateaubench.results.NightComparison;
import org.plateaubench.results.NightFinding;
import org.plateaubench.results.NightResults;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Compares records. */
@Command(
        name = "compare",
        mixinStandardHelpOptions = true,
        description = {
            "Fan sets measured on one bench are compared by the difference of their rises, with intervals that all hold at"
                    + " once. Nights of one set, and differences found on two benches, are compared by their E number.",
            "Exit code 1 if the records cannot be compared, or nights or benches do not agree."
        },
        footer = {
            "",
            "Examples:",
            "  plateau compare records/20261124-221003-example-loop-a \\",
            "      records/20261125-221004-example-loop-b",
            "  plateau compare records/2026* --against A --equivalent-within \"0.3 K\" \\",
            "      --html comparison.html",
            "  plateau compare records/2026* --csv --out differences.csv"
        })
final class CompareCommand implements Callable<Integer> {

    @Parameters(paramLabel = "RECORD", arity = "2..*", description = "folders of records, two or more")
    private List<Path> folders;

    @Option(
            names = "--against",
            paramLabel = "SET",
            description = "fan set that the others are compared with; default: that of the first record")
    private String against;

    @Option(
            names = "--equivalent-within",
            paramLabel = "KELVIN",
            description = "sets whose whole interval lies within this are called equivalent, for example \"0.3 K\"")
    private String equivalentWithin;

    @Option(
            names = "--html",
            paramLabel = "FILE",
            description = "one page that needs nothing else: verdicts, charts, what cancelled and what was corrected")
    private Path html;

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Option(names = "--csv", description = "for spreadsheets: one row a difference")
    private boolean csv;

    @Option(
            names = "--out",
            paramLabel = "FILE",
            description = "where --csv or --json goes; beside a CSV, FILE-metadata.json describes its columns (CSVW)")
    private Path out;

    @Spec
    private CommandSpec spec;

    /** A record that was opened. */
    record Opened(Path folder, Optional<ComparedNight> night, Verified verified, List<String> reasons) {

        private Optional<String> seal() {
            return verified.tagManifestSha256();
        }
    }

    @Override
    public Integer call() {
        if (json && csv) {
            throw new Refusal("one of --json and --csv, not both");
        }
        if (out != null && !json && !csv) {
            throw new Refusal("--out is where --csv or --json goes; a page goes where --html says");
        }
        double within = withinKelvin();
        keepOutside(html);
        keepOutside(out);
        List<Opened> opened = folders.parallelStream().map(CompareCommand::open).toList();
        List<ComparedNight> nights =
                opened.stream().flatMap(o -> o.night().stream()).toList();
        List<String> reasons = reasons(opened);
        Map<String, String> seals = new LinkedHashMap<>();
        opened.forEach(o -> o.seal().ifPresent(seal -> seals.put(o.folder().toString(), seal)));
        if (!reasons.isEmpty()) {
            return notComparable(reasons, nights, seals);
        }
        try {
            NightComparison comparison = NightComparison.of(nights, Optional.ofNullable(against), within);
            write(html, () -> ComparisonPage.html(comparison, nights, within, seals, Main.agent()));
            String text = json
                    ? ComparisonFiles.json(comparison)
                    : csv ? ComparisonFiles.csv(comparison) : ComparisonText.of(comparison);
            if (out != null) {
                write(out, () -> text);
                if (csv) {
                    String name = out.getFileName().toString();
                    write(out.resolveSibling(name + "-metadata.json"), () -> ComparisonFiles.csvMetadata(name));
                }
            } else {
                spec.commandLine().getOut().print(text);
                spec.commandLine().getOut().flush();
            }
            return comparison.disagrees() ? Main.WRONG : Main.DONE;
        } catch (NightComparison.NotComparable e) {
            return notComparable(e.reasons(), nights, seals);
        }
    }

    private int notComparable(List<String> reasons, List<ComparedNight> nights, Map<String, String> seals) {
        PrintWriter err = spec.commandLine().getErr();
        err.println("these records cannot be compared:");
        reasons.forEach(reason -> err.println("  " + reason));
        write(html, () -> ComparisonPage.refused(reasons, nights, seals, Main.agent()));
        return Main.WRONG;
    }

    /** A record stays as it was sealed: nothing is written into one. */
    private void keepOutside(Path file) {
        try {
            for (Path record : folders) {
                if (file != null && Files.isDirectory(record)) {
                    Outside.of(record, file);
                }
            }
        } catch (IOException e) {
            throw new Refusal(file + " cannot be written: " + Refusal.why(e), e);
        }
    }

    /** Writes a file, if it is wanted. */
    private static void write(Path file, Supplier<String> text) {
        try {
            if (file != null) {
                Files.writeString(file, text.get());
            }
        } catch (IOException e) {
            throw new Refusal(file + " cannot be written: " + Refusal.why(e), e);
        }
    }

    static List<String> reasons(List<Opened> opened) {
        List<String> reasons = new ArrayList<>();
        Set<String> seals = new TreeSet<>();
        for (Opened each : opened) {
            reasons.addAll(each.reasons());
            if (!seals.add(each.seal().orElse(each.folder().toString()))) {
                reasons.add(each.folder() + " is the same record as another one");
            }
        }
        return reasons;
    }

    private double withinKelvin() {
        if (equivalentWithin == null) {
            return 0.0;
        }
        Optional<Quantity> quantity = Quantity.parse(equivalentWithin);
        if (quantity.isEmpty()
                || quantity.get().unit().dimension() != Dimension.TEMPERATURE_DIFFERENCE
                || !(quantity.get().inBase() > 0.0)) {
            throw new Refusal(
                    "--equivalent-within: found " + equivalentWithin + "; needs a difference above 0 K, such as 0.3 K");
        }
        return quantity.get().inBase();
    }

    /** The passes that somebody set aside after the night: whoever that was, they are counted. */
    private static List<NightFinding> setAside(Path folder, Verified verified) {
        List<NightFinding> findings = new ArrayList<>();
        for (Amendment amendment : Amendments.standing(verified.amendments())) {
            if (amendment.statement() instanceof Statement.SetAside aside) {
                findings.add(new NightFinding(
                        "pass-set-aside",
                        folder.toString(),
                        "pass " + aside.pass() + " was set aside since, signed as " + amendment.by() + " ("
                                + aside.reason()
                                + "); it is counted here, and 'audit' says whether its signer is trusted"));
            }
        }
        return findings;
    }

    /** Opens one record, with every reason why it must not be compared. */
    static Opened open(Path folder) {
        try {
            RecordFolder record = RecordFolder.open(folder);
            Verified verified = Verified.butForLines(folder);
            List<String> reasons = verified.findings().stream()
                    .filter(finding -> finding.severity() == Severity.FAILURE)
                    .map(finding ->
                            folder + ": " + finding.place() + ": " + finding.found() + "  [" + finding.code() + "]")
                    .toList();
            if (!reasons.isEmpty()) {
                return new Opened(folder, Optional.empty(), verified, reasons);
            }
            NightFiles files = RetraceCommand.files(record);
            return new Opened(
                    folder,
                    Optional.of(new ComparedNight(
                            folder.toString(),
                            record.openedUtc(),
                            files,
                            NightResults.of(files, record),
                            setAside(folder, verified))),
                    verified,
                    List.of());
        } catch (IOException e) {
            throw new Refusal(folder + " cannot be read as a record: " + Refusal.why(e), e);
        }
    }
}
