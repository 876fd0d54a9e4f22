package org.plateaubench.report;

import java.io.IOException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.time.OffsetDateTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.record.Amendment;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Json;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.ResultFiles;

/**
 * Everything that a report says of a night, read once.
 *
 * @param folder the record
 * @param files plan, fans and bench file of the record
 * @param journal its journal
 * @param results its results.json; worked out from the samples where the record has none
 * @param provenance its provenance.json; empty where the record has none
 * @param trace its samples, to be drawn
 * @param audit what an audit of the record alone finds
 * @param beside what it finds about the ledger beside
 * @param ledgerHead head of the ledger beside it; empty without one
 * @param amendments those that hold, in order
 * @param trust whom the reader believes
 */
record Night(
        RecordFolder folder,
        NightFiles files,
        List<Map<String, Object>> journal,
        Fields results,
        Fields provenance,
        Trace trace,
        AuditReport.RecordReport audit,
        List<Finding> beside,
        String ledgerHead,
        List<Amendment> amendments,
        TrustFile trust) {

    private static final DateTimeFormatter CLOCK = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT);
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMMM uuuu", Locale.ENGLISH);

    static Night read(Path record, TrustFile trust) throws IOException {
        RecordFolder folder = RecordFolder.open(record);
        Parsed<NightFiles> parsed = NightFiles.recorded(folder::file);
        NightFiles files = parsed.value()
                .orElseThrow(() -> new IOException("the record's own files are refused, first: "
                        + parsed.problems().get(0)));
        List<Map<String, Object>> journal = folder.journal();
        if (journal.isEmpty()) {
            throw new IOException("the journal is empty: the run ended before its first tick");
        }
        OffsetDateTime start =
                OffsetDateTime.parse(String.valueOf(journal.get(0).get("start")));
        AuditReport audit = Audit.audit(record, AuditOptions.of(trust));
        return new Night(
                folder,
                files,
                journal,
                results(files, folder),
                object(folder, "provenance.json"),
                Trace.of(files, folder, start),
                audit.records().get(0),
                audit.folder(),
                audit.ledgerHead().orElse(""),
                folder.sealed() ? Amendments.read(record, finding -> {}) : List.of(),
                trust);
    }

    private static Fields results(NightFiles files, RecordFolder folder) throws IOException {
        Fields sealed = object(folder, "results.json");
        return sealed.map().isEmpty() ? json(ResultFiles.json(NightResults.of(files, folder))) : sealed;
    }

    private static Fields object(RecordFolder folder, String name) throws IOException {
        try {
            return json(folder.file(name));
        } catch (NoSuchFileException e) {
            return Fields.of(Map.of());
        }
    }

    private static Fields json(byte[] utf8) throws IOException {
        try {
            return Fields.of(Json.read(utf8));
        } catch (Json.JsonFault e) {
            throw new IOException(e.getMessage(), e);
        }
    }

    /** True if the record says that its bench is simulated. */
    boolean simulated() throws IOException {
        return folder.simulated();
    }

    /** Stands before whatever holds numbers. */
    String mark() {
        return results.flag("simulated") ? "SIMULATED" : "";
    }

    /** The same before a caption or a sentence. */
    String markBefore() {
        return mark().isEmpty() ? "" : mark() + ": ";
    }

    /** Local time, such as "23:57". */
    String clock(double seconds) {
        return CLOCK.format(trace.start().plusSeconds(Math.round(seconds)));
    }

    /** Local day, such as "24 November 2026". */
    String day(double seconds) {
        return DAY.format(trace.start().plusSeconds(Math.round(seconds)));
    }

    boolean trusted(Amendment amendment) {
        return trust.standing(amendment.signer(), amendment.utc()).verdict() == TrustFile.Verdict.TRUSTED;
    }

    /** Names of the passes that a trusted signer set aside, and that stay so. */
    Set<String> setAside() {
        Set<String> passes = new TreeSet<>();
        for (Amendment amendment :
                Amendments.standing(amendments.stream().filter(this::trusted).toList())) {
            if (amendment.statement() instanceof Statement.SetAside aside) {
                passes.add(aside.pass());
            }
        }
        return passes;
    }

    /** Decisions of one kind, in order. */
    List<Fields> decisions(String kind) {
        List<Fields> found = new ArrayList<>();
        for (Map<String, Object> line : journal) {
            if (kind.equals(line.get("decision"))) {
                found.add(Fields.of(line));
            }
        }
        return found;
    }

    /** Thermal passes: all but those of another measurement. */
    List<Fields> passes() {
        return results.list("passes").stream()
                .filter(pass ->
                        !pass.has("measurement") || pass.text("measurement").equals("thermal"))
                .toList();
    }
}
