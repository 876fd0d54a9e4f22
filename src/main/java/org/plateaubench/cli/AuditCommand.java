package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Checks records. */
@Command(
        name = "audit",
        mixinStandardHelpOptions = true,
        description = {
            "One line a record first, then what was found, why it matters and what to do. Exit code 1 where any fails.",
            "What a signature proves: that these bytes are unchanged since a holder of this key sealed them. Not who that"
                    + " was, not when, not that the program was genuine, not that anything was measured."
        },
        footer = {
            "",
            "Examples:",
            "  plateau audit records/simulated",
            "  plateau audit records --head 6a4d79e9...  --json",
            "  sha256sum protocols/*.yaml > approved.txt",
            "  plateau audit records --plans approved.txt"
        })
final class AuditCommand implements Callable<Integer> {

    private static final int MANY = 50;
    private static final Pattern HASH = Pattern.compile("\\\\?([0-9a-fA-F]{64})( .*)?");

    @Parameters(paramLabel = "RECORD-OR-DIR", description = "a record, or a folder of records")
    private Path path;

    @Option(names = "--since", paramLabel = "DAY", description = "only records opened on that day (UTC) or later")
    private LocalDate since;

    @Option(
            names = "--head",
            paramLabel = "HASH",
            description = "an earlier ledger head, kept elsewhere, with which the ledger must still begin")
    private String head;

    @Option(
            names = "--plans",
            paramLabel = "FILE",
            description = "approved plans: a line each that begins with the plan's SHA-256, as sha256sum prints them")
    private Path plans;

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        if (!Files.isDirectory(path)) {
            throw new Refusal(path + " is no folder; a record or a folder of records is needed");
        }
        PrintWriter err = spec.commandLine().getErr();
        AuditReport report = Audit.audit(
                path,
                new AuditOptions(
                        Keys.trust(),
                        Optional.ofNullable(head),
                        Optional.ofNullable(since),
                        Optional.ofNullable(plans).map(AuditCommand::approved),
                        Runtime.getRuntime().availableProcessors(),
                        (done, all) -> {
                            if (all >= MANY && (done % MANY == 0 || done == all)) {
                                err.println(done + " of " + all + " records");
                            }
                        }));
        PrintWriter out = spec.commandLine().getOut();
        out.print(json ? report.json() : report.text());
        if (!json && report.records().size() == 1) {
            out.print(SetAsidePasses.results(path, report.records().get(0)));
        }
        out.flush();
        return report.fails() ? Main.WRONG : Main.DONE;
    }

    private static Set<String> approved(Path file) {
        try {
            Set<String> hashes = new TreeSet<>();
            for (String line : Files.readAllLines(file, StandardCharsets.UTF_8)) {
                Matcher hash = HASH.matcher(line);
                if (!hash.matches() && !line.isBlank()) {
                    throw new Refusal(file + ": a line begins with 64 hexadecimal digits, found '" + line + "'");
                } else if (hash.matches()) {
                    hashes.add(hash.group(1).toLowerCase(Locale.ROOT));
                }
            }
            return hashes;
        } catch (IOException e) {
            throw new Refusal(file + " cannot be read: " + Refusal.why(e), e);
        }
    }
}
