package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.clock.Utc;
import org.plateaubench.record.Amendment;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Statement;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** What the commands have in common that add a signed amendment to a sealed record. */
final class Amending {

    @Parameters(index = "0", paramLabel = "RECORD", description = "the record's folder")
    Path record;

    @Option(names = "--by", paramLabel = "NAME", description = "who signs; default: the user's name")
    private String by = System.getProperty("user.name");

    @Spec(Spec.Target.MIXEE)
    private CommandSpec spec;

    /**
     * Signs, adds, and says so.
     *
     * @param statement what to state
     * @param attached files that come with it
     * @throws Refusal if the record cannot be amended; it is unchanged
     */
    void add(Statement statement, List<Path> attached) {
        PrintWriter out = spec.commandLine().getOut();
        if (Stream.of("text", "reason")
                .map(statement.fields()::get)
                .anyMatch(said -> said instanceof String words && words.isBlank())) {
            throw new Refusal("what is signed must say something; found nothing in it. The record is unchanged.");
        }
        List<Amendments.Attached> files = new ArrayList<>();
        for (Path file : attached) {
            try {
                byte[] bytes = Files.readAllBytes(file); // what can be read has a name, which the root has not
                files.add(new Amendments.Attached(file.getFileName().toString(), bytes));
            } catch (IOException e) {
                throw new Refusal(file + " cannot be read: " + Refusal.why(e) + "; the record is unchanged", e);
            }
        }
        SealingKey key = Keys.forRun(spec.commandLine().getErr());
        try {
            Amendment added = Amendments.add(record, statement, files, by, Utc.text(new SystemClock().wall()), key);
            out.println("added " + added.file() + ", signed by " + key.signer().fingerprint());
            audit().ledgerHead().ifPresent(head -> out.println("ledger head " + head));
            out.flush();
        } catch (IOException e) {
            throw new Refusal(record + " cannot be amended: " + Refusal.why(e), e);
        }
    }

    /**
     * What an audit finds in the record now.
     *
     * @return of one record
     * @throws Refusal if the folder is no record, or cannot be read
     */
    AuditReport audit() {
        try {
            RecordFolder.open(record);
            return Audit.audit(record, AuditOptions.of(Keys.trust()));
        } catch (IOException e) {
            throw new Refusal(record + " cannot be read: " + Refusal.why(e), e);
        }
    }

    /** Shows the results with and without the passes that are set aside now. */
    void showResults() {
        PrintWriter out = spec.commandLine().getOut();
        try {
            out.print(SetAsidePasses.results(record, audit().records().get(0)));
        } catch (IOException e) {
            throw new Refusal(record + " cannot be read: " + Refusal.why(e), e);
        }
        out.flush();
    }
}
