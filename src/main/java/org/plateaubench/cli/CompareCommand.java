package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Finding;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Verified;
import org.plateaubench.results.ComparedNight;
import org.plateaubench.results.ComparisonFiles;
import org.plateaubench.results.NightComparison;
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

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Option(names = "--csv", description = "for spreadsheets: one row a difference")
    private boolean csv;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        if (json && csv) {
            throw new Refusal("one of --json and --csv, not both");
        }
        double within = withinKelvin();
        PrintWriter out = spec.commandLine().getOut();
        List<String> reasons = new ArrayList<>();
        List<ComparedNight> nights = new ArrayList<>();
        Set<String> seals = new TreeSet<>();
        for (Path folder : folders) {
            nights.add(night(folder, seals, reasons));
        }
        if (!reasons.isEmpty()) {
            return notComparable(reasons);
        }
        try {
            NightComparison comparison = NightComparison.of(nights, Optional.ofNullable(against), within);
            out.print(
                    json
                            ? ComparisonFiles.json(comparison)
                            : csv ? ComparisonFiles.csv(comparison) : ComparisonText.of(comparison));
            out.flush();
            return comparison.disagrees() ? Main.WRONG : Main.DONE;
        } catch (NightComparison.NotComparable e) {
            return notComparable(e.reasons());
        }
    }

    private int notComparable(List<String> reasons) {
        PrintWriter err = spec.commandLine().getErr();
        err.println("these records cannot be compared:");
        reasons.forEach(reason -> err.println("  " + reason));
        return Main.WRONG;
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

    /** Opens one record; adds its seal to those seen, and a reason if it must not be compared. */
    static ComparedNight night(Path folder, Set<String> seals, List<String> reasons) {
        try {
            RecordFolder record = RecordFolder.open(folder);
            Verified verified = Verified.of(folder);
            for (Finding finding : verified.findings()) {
                if (finding.severity() == Severity.FAILURE) {
                    reasons.add(
                            folder + ": " + finding.place() + ": " + finding.found() + "  [" + finding.code() + "]");
                }
            }
            if (!seals.add(verified.tagManifestSha256().orElse(folder.toString()))) {
                reasons.add(folder + " is the same record as another one");
            }
            NightFiles files = RetraceCommand.files(record);
            return new ComparedNight(folder.toString(), record.openedUtc(), files, NightResults.of(files, record));
        } catch (IOException e) {
            throw new Refusal(folder + " cannot be read as a record: " + e.getMessage(), e);
        }
    }
}
