package org.plateaubench.audit;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.stream.Stream;
import org.plateaubench.audit.AuditReport.Judged;
import org.plateaubench.audit.AuditReport.RecordReport;
import org.plateaubench.audit.AuditReport.Stated;
import org.plateaubench.record.Amendment;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Ledger;
import org.plateaubench.record.RecordCheck;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Severity;
import org.plateaubench.record.SignerKey;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;
import org.plateaubench.record.Verified;

/**
 * Looks at one record, or at all records of a folder, and says what it finds: in the records' own bytes, by the reader's
 * trust file, and by the ledger beside. Nothing is written.
 */
public final class Audit {

    private final AuditOptions options;
    private final NightContent content;
    private final List<Finding> folderFindings = new ArrayList<>();

    private Audit(AuditOptions options) {
        this.options = options;
        this.content = new NightContent(options.approvedPlans());
    }

    /**
     * Audits.
     *
     * @param path a record, or a folder of records
     * @param options what to go by
     * @return what was found
     * @throws IOException if the folder cannot be read
     */
    public static AuditReport audit(Path path, AuditOptions options) throws IOException {
        Path real = path.toRealPath();
        Audit audit = new Audit(options);
        return looksLikeRecord(real) ? audit.one(real) : audit.folder(real);
    }

    private static boolean looksLikeRecord(Path path) {
        return Files.exists(path.resolve("bagit.txt"), LinkOption.NOFOLLOW_LINKS)
                || Files.exists(path.resolve("data"), LinkOption.NOFOLLOW_LINKS);
    }

    private AuditReport one(Path record) throws IOException {
        LedgerView ledger = LedgerView.read(record.getParent(), options.head(), folderFindings);
        RecordReport report = look(record, ledger);
        options.progress().record(1, 1);
        return new AuditReport(List.of(report), folderFindings, ledger.head());
    }

    private AuditReport folder(Path folder) throws IOException {
        LedgerView ledger = LedgerView.read(folder, options.head(), folderFindings);
        List<Path> records = new ArrayList<>();
        try (Stream<Path> entries = Files.list(folder)) {
            for (Path entry : entries.sorted().toList()) {
                String name = entry.getFileName().toString();
                if (Files.isSymbolicLink(entry) && looksLikeRecord(entry)) {
                    folderFindings.add(RecordCheck.LINK_REFUSED.at(name, "a link to a record"));
                } else if (RecordFolder.unfinished(name) && ledger.of(name).isEmpty()) {
                    folderFindings.add(RecordCheck.OPENING_UNFINISHED.at(name, "a folder without a record's name"));
                } else if (Files.isDirectory(entry)
                        && (looksLikeRecord(entry) || !ledger.of(name).isEmpty())) {
                    records.add(entry);
                }
            }
        }
        if (records.isEmpty() && !ledger.usable()) {
            folderFindings.add(RecordCheck.NOT_A_RECORD.at("", "no record, and no folder of records"));
        }
        Set<String> old = new TreeSet<>();
        options.since().ifPresent(day -> records.removeIf(record -> isOlder(record, day, old)));
        List<RecordReport> reports = lookAtAll(records, ledger);
        findMissing(ledger, old, reports);
        findDuplicates(reports);
        return new AuditReport(reports, folderFindings, ledger.head());
    }

    /** Notes the names of records that were opened before a day; one that cannot be read is looked at, and found out. */
    private static boolean isOlder(Path record, LocalDate day, Set<String> old) {
        try {
            RecordFolder folder = RecordFolder.open(record);
            return folder.openedUtc().compareTo(day.toString()) < 0 && old.add(folder.name());
        } catch (IOException e) {
            return false;
        }
    }

    /** Records side by side, their reports in order. */
    private List<RecordReport> lookAtAll(List<Path> records, LedgerView ledger) throws IOException {
        ExecutorService pool = Executors.newFixedThreadPool(options.threads());
        try {
            List<Future<RecordReport>> looks = new ArrayList<>();
            for (Path record : records) {
                looks.add(pool.submit(() -> look(record, ledger)));
            }
            List<RecordReport> reports = new ArrayList<>();
            for (Future<RecordReport> look : looks) {
                reports.add(look.get());
                options.progress().record(reports.size(), looks.size());
            }
            return reports;
        } catch (ExecutionException e) {
            throw new IllegalStateException("looking at a record broke off", e.getCause());
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new IOException("the audit was interrupted", e);
        } finally {
            pool.shutdownNow();
        }
    }

    private void findMissing(LedgerView ledger, Set<String> old, List<RecordReport> reports) {
        Set<String> seen = new TreeSet<>(old);
        reports.forEach(report -> seen.add(report.name()));
        for (String name : ledger.records()) {
            if (!seen.contains(name)) {
                boolean simulated = ledger.of(name).get(0).entry().simulated();
                Finding missing = RecordCheck.RECORD_MISSING.at(
                        Ledger.FILE + ":" + ledger.of(name).get(0).number(),
                        "'" + name + "' was opened and is not here" + (simulated ? "; it was simulated" : ""));
                folderFindings.add(simulated ? missing.as(Severity.WARNING) : missing);
            }
        }
    }

    private void findDuplicates(List<RecordReport> reports) {
        TreeMap<String, String> firstPaths = new TreeMap<>();
        for (RecordReport report : reports) {
            String first = firstPaths.putIfAbsent(report.name(), report.path());
            if (first != null) {
                folderFindings.add(RecordCheck.DUPLICATE.at(
                        report.path(), "it is the record '" + report.name() + "', as is " + first));
            }
        }
    }

    private RecordReport look(Path record, LedgerView ledger) {
        try {
            return judge(record, Verified.of(record), ledger);
        } catch (IOException | RuntimeException e) {
            // One record that nobody foresaw must not keep the others from being looked at.
            String name = record.getFileName().toString();
            Finding finding = RecordCheck.UNREADABLE.at("", e.toString());
            return new RecordReport(
                    name,
                    name,
                    Optional.empty(),
                    "unknown",
                    List.of(),
                    List.of(),
                    List.of(new Judged(finding, Optional.empty())));
        }
    }

    private RecordReport judge(Path record, Verified verified, LedgerView ledger) throws IOException {
        List<Finding> findings = new ArrayList<>(verified.findings());
        String path = record.getFileName().toString();
        if (!path.equals(verified.name())) {
            findings.add(RecordCheck.RENAMED.at("", "the record is called '" + verified.name() + "'"));
        }
        List<Ledger.Line> lines = ledger.of(verified.name());
        String sealedBy = sealer(verified, ledger, lines, findings);
        if (ledger.usable()) {
            compare(verified, lines, findings);
            judgeLedgerSigners(verified, lines, findings);
        }
        List<Amendment> standing = Amendments.standing(
                verified.amendments().stream().filter(this::trusted).toList());
        for (Amendment amendment : verified.amendments()) {
            TrustFile.Standing signer = options.trust().standing(amendment.signer(), amendment.utc());
            signerFinding(signer, amendment.file()).ifPresent(findings::add);
        }
        if (verified.simulated().equals(Optional.of(true))) {
            findings.add(RecordCheck.SIMULATED.at("", "the bench is simulated"));
        }
        // What cannot be relied on is not judged further.
        if (verified.findings().stream().noneMatch(f -> f.severity() == Severity.FAILURE)) {
            content.judge(record, verified.simulated().equals(Optional.of(false)), verified.openedUtc(), findings);
        }
        if (verified.resumptions() > 0) {
            findings.add(NightCheck.CUT_OFF.at(
                    "data/journal.jsonl",
                    "how often the night was cut off and gone on with: " + verified.resumptions()));
        }
        for (Amendment amendment : standing) {
            if (amendment.statement() instanceof Statement.SetAside aside) {
                findings.add(
                        NightCheck.PASS_SET_ASIDE.at(amendment.file(), "pass " + aside.pass() + ": " + aside.reason()));
            }
        }
        return accept(path, verified, sealedBy, standing, findings);
    }

    private boolean trusted(Amendment amendment) {
        return options.trust().standing(amendment.signer(), amendment.utc()).verdict() == TrustFile.Verdict.TRUSTED;
    }

    /** Who sealed it; what there is to say about that key goes to the findings. */
    private String sealer(Verified verified, LedgerView ledger, List<Ledger.Line> lines, List<Finding> findings) {
        if (!verified.sealed() || verified.signer().isEmpty()) {
            return "nobody";
        }
        TrustFile.Standing signer = options.trust().standing(verified.signer().get(), verified.sealedUtc());
        boolean anchored = lines.stream()
                .anyMatch(line -> line.entry().event() == Ledger.Event.SEALED
                        && Optional.of(line.entry().sha256()).equals(verified.tagManifestSha256())
                        && ledger.anchored(line));
        signerFinding(signer, "signature/signer.pem")
                .map(finding -> signer.verdict() == TrustFile.Verdict.REVOKED && anchored
                        ? finding.as(Severity.WARNING)
                        : finding)
                .ifPresent(findings::add);
        return signer.name();
    }

    private static Optional<Finding> signerFinding(TrustFile.Standing signer, String place) {
        switch (signer.verdict()) {
            case UNKNOWN:
                return Optional.of(RecordCheck.SIGNER_UNKNOWN.at(place, signer.detail()));
            case NOT_VALID:
                return Optional.of(RecordCheck.SIGNER_NOT_VALID.at(place, signer.name() + " " + signer.detail()));
            case REVOKED:
                return Optional.of(RecordCheck.SIGNER_REVOKED.at(
                        place, "the key of " + signer.name() + " was " + signer.detail()));
            default:
                return Optional.empty();
        }
    }

    /** Keys of the ledger that nobody vouches for; those of the record and its amendments are findings of their own. */
    private void judgeLedgerSigners(Verified verified, List<Ledger.Line> lines, List<Finding> findings) {
        Set<SignerKey> judged = new HashSet<>();
        verified.signer().ifPresent(judged::add);
        verified.amendments().forEach(amendment -> judged.add(amendment.signer()));
        for (Ledger.Line line : lines) {
            TrustFile.Standing signer =
                    options.trust().standing(line.signer(), line.entry().utc());
            if (signer.verdict() == TrustFile.Verdict.UNKNOWN && judged.add(line.signer())) {
                findings.add(RecordCheck.LEDGER_SIGNER_UNKNOWN.at(Ledger.FILE + ":" + line.number(), signer.detail()));
            }
        }
    }

    /** What the ledger knows of the record against what the record is. */
    private static void compare(Verified verified, List<Ledger.Line> lines, List<Finding> findings) {
        boolean opened = false;
        boolean sealed = false;
        Set<String> amended = new TreeSet<>();
        for (Ledger.Line line : lines) {
            Ledger.Entry entry = line.entry();
            String place = Ledger.FILE + ":" + line.number();
            if (verified.simulated().isPresent() && verified.simulated().get() != entry.simulated()) {
                findings.add(RecordCheck.LEDGER_DIFFERS.at("bag-info.txt", place + " says otherwise about simulation"));
            }
            switch (entry.event()) {
                case OPENED:
                    opened = true;
                    differs(entry.file(), "its first line", entry.sha256(), verified.openingSha256(), place, findings);
                    break;
                case SEALED:
                    sealed = true;
                    String signature = "signature/" + entry.file() + ".sig";
                    if (!verified.sealed()) {
                        findings.add(
                                RecordCheck.SEAL_REMOVED.at(signature, "it is not there, and " + place + " knows it"));
                        break;
                    }
                    differs(entry.file(), "it", entry.sha256(), verified.tagManifestSha256(), place, findings);
                    differs(signature, "it", entry.signatureSha256(), verified.signatureSha256(), place, findings);
                    break;
                default:
                    amended.add(entry.sha256());
                    boolean there = verified.amendments().stream()
                            .anyMatch(a -> a.file().equals(entry.file())
                                    && a.sha256().equals(entry.sha256())
                                    && a.signatureSha256().equals(entry.signatureSha256()));
                    if (!there) {
                        findings.add(RecordCheck.AMENDMENT_MISSING.at(
                                entry.file(), place + " knows it, and it is not here as it was"));
                    }
            }
        }
        if (!opened) {
            findings.add(RecordCheck.LEDGER_LACKS_RECORD.at(Ledger.FILE, "no line opens '" + verified.name() + "'"));
        } else if (verified.sealed() && !sealed) {
            findings.add(RecordCheck.LEDGER_LACKS_SEALING.at(Ledger.FILE, "no line seals '" + verified.name() + "'"));
        }
        for (Amendment amendment : verified.amendments()) {
            if (!amended.contains(amendment.sha256())) {
                findings.add(RecordCheck.LEDGER_LACKS_AMENDMENT.at(amendment.file(), "no line of the ledger has it"));
            }
        }
    }

    private static void differs(
            String file, String what, String wanted, Optional<String> hash, String place, List<Finding> findings) {
        if (hash.isPresent() && !hash.get().equals(wanted)) {
            findings.add(RecordCheck.LEDGER_DIFFERS.at(
                    file, what + " has the hash " + hash.get() + ", " + place + " has " + wanted));
        }
    }

    /** A sign-off accepts findings, unless its signer sealed the record too: nobody accepts their own. */
    private RecordReport accept(
            String path, Verified verified, String sealedBy, List<Amendment> standing, List<Finding> findings) {
        List<String> signedOffBy = new ArrayList<>();
        TreeMap<String, String> accepted = new TreeMap<>();
        boolean byAnother = false;
        for (Amendment amendment : standing) {
            if (amendment.statement() instanceof Statement.SignOff signOff) {
                String name = options.trust()
                        .standing(amendment.signer(), amendment.utc())
                        .name();
                if (!signedOffBy.contains(name)) {
                    signedOffBy.add(name);
                }
                if (!Optional.of(amendment.signer()).equals(verified.signer())) {
                    byAnother = true;
                    signOff.accepted().forEach(a -> accepted.putIfAbsent(a.code() + " " + a.place(), name));
                }
            }
        }
        if (signedOffBy.isEmpty()) {
            findings.add(RecordCheck.NOT_SIGNED_OFF.at("", "there is no sign-off that stands"));
        } else if (!byAnother) {
            findings.add(RecordCheck.SIGNED_OFF_BY_SEALER.at("", "sealed and signed off with the same key"));
        }
        List<Judged> judged = findings.stream()
                .map(f -> new Judged(
                        f,
                        f.acceptable()
                                ? Optional.ofNullable(accepted.get(f.code() + " " + f.place()))
                                : Optional.empty()))
                .toList();
        List<Stated> stated = verified.amendments().stream()
                .map(a -> new Stated(
                        a, options.trust().standing(a.signer(), a.utc()).name(), standing.contains(a)))
                .toList();
        return new RecordReport(path, verified.name(), verified.simulated(), sealedBy, signedOffBy, stated, judged);
    }
}
