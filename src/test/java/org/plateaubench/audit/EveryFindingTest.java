package org.plateaubench.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Nights;
import org.plateaubench.record.RecordCheck;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;

/** One broken record for each kind of finding, so that no kind is there in vain. */
class EveryFindingTest {

    @TempDir
    static Path original;

    @TempDir
    Path folder;

    private Path records;
    private Path record;
    private AuditOptions options =
            AuditOptions.of(Nights.trusting(Map.of("technician", Nights.TECHNICIAN, "lead", Nights.LEAD)));

    @BeforeAll
    static void seal() throws IOException {
        Path sealed = Nights.sealed(original, "night", Nights.TECHNICIAN);
        note(sealed, Nights.LEAD);
        Nights.unsealed(original, "open", Nights.TECHNICIAN);
    }

    private static void note(Path record, SealingKey key) throws IOException {
        Amendments.add(record, new Statement.Note("a note"), List.of(), "lead", Nights.SEALED, key);
    }

    @ParameterizedTest
    @EnumSource
    void isFoundAndExplained(RecordCheck kind) throws IOException {
        records = Nights.copy(original, folder.resolve("records"));
        record = records.resolve("night");
        breakIt(kind);

        AuditReport report = Audit.audit(records, options);

        List<Finding> found = new ArrayList<>(report.folder());
        report.records().forEach(r -> r.findings().forEach(j -> found.add(j.finding())));
        Finding finding = found.stream()
                .filter(f -> f.code().equals(kind.name()))
                .findFirst()
                .orElseThrow(() -> new AssertionError(kind + " is not among " + found));
        assertFalse(finding.found().isBlank());
        assertTrue(report.text().length() > 0 && report.json().contains(kind.name()));
        assertEquals(finding, kind.at(finding.place(), finding.found()).as(finding.severity()));
    }

    private void edit(String path, String from, String to) throws IOException {
        Path file = record.resolve(path);
        String text = Files.readString(file);
        assertTrue(text.contains(from), text);
        Files.writeString(file, text.replace(from, to));
    }

    private void put(String path) throws IOException {
        Files.writeString(record.resolve(path), "x");
    }

    private void delete(String path) throws IOException {
        Files.delete(record.resolve(path));
    }

    private void cutLedger(int lines) throws IOException {
        Path ledger = records.resolve("ledger.jsonl");
        Files.write(ledger, Files.readAllLines(ledger).subList(0, lines));
    }

    private void breakIt(RecordCheck kind) throws IOException {
        TrustFile trust = options.trust();
        switch (kind) {
            case NOT_A_RECORD:
                records = Files.createDirectory(folder.resolve("empty"));
                break;
            case UNREADABLE:
                Files.writeString(record.resolve("data/checkpoints.jsonl"), "0".repeat(1 << 24) + "0\n");
                break;
            case LINK_REFUSED:
                delete("data/plan.yaml");
                Files.createSymbolicLink(record.resolve("data/plan.yaml"), record.resolve("data/fans.yaml"));
                break;
            case NAME_REFUSED:
                put("data/Plan");
                break;
            case FETCH_REFUSED:
                put("fetch.txt");
                break;
            case BAGIT_BROKEN:
                edit("bagit.txt", "1.0", "0.97");
                break;
            case BAG_INFO_BROKEN:
                edit("bag-info.txt", "Payload-Oxum: ", "Payload-Oxum: 1");
                break;
            case MANIFEST_BROKEN:
                edit("manifest-sha256.txt", "  data/plan.yaml", "  ../plan.yaml");
                break;
            case FILE_MISSING:
                delete("data/results.json");
                break;
            case FILE_NOT_LISTED:
                put("data/more.csv");
                break;
            case FILE_CHANGED:
                put("data/results.json");
                break;
            case NOT_SEALED: // the second record
                break;
            case SEAL_REMOVED:
                delete("signature/tagmanifest-sha256.txt.sig");
                break;
            case SIGNATURE_WRONG:
                put("signature/tagmanifest-sha256.txt.sig");
                break;
            case KEY_BROKEN:
                put("signature/signer.pem");
                break;
            case JOURNAL_BROKEN:
                edit("data/journal.jsonl", "42.50", "43.50");
                break;
            case SAMPLES_BROKEN:
                edit("data/samples.csv", "\n5,", "\n4,");
                break;
            case CHECKPOINT_BROKEN:
                record = records.resolve("open");
                edit("data/checkpoints.jsonl", "\"samples_bytes\":", "\"samples_bytes\":1");
                break;
            case TAIL_UNCOVERED:
                Files.writeString(records.resolve("open/data/journal.jsonl"), "{\"seq\"", StandardOpenOption.APPEND);
                break;
            case SIGNER_UNKNOWN:
                options = AuditOptions.of(TrustFile.EMPTY);
                break;
            case SIGNER_NOT_VALID:
                options = AuditOptions.of(new TrustFile(
                        List.of(new TrustFile.Trusted(
                                "technician",
                                Nights.TECHNICIAN.signer(),
                                Optional.empty(),
                                Optional.of(Instant.parse("2026-01-01T00:00:00Z")))),
                        List.of()));
                break;
            case SIGNER_REVOKED:
                options = AuditOptions.of(new TrustFile(
                        trust.trusted(),
                        List.of(new TrustFile.Revoked(
                                Nights.LEAD.signer().fingerprint(), Instant.parse("2026-12-01T00:00:00Z"), "lost"))));
                break;
            case NO_LEDGER:
                Files.delete(records.resolve("ledger.jsonl"));
                break;
            case LEDGER_BROKEN:
                record = records;
                edit("ledger.jsonl", "\"event\":\"sealed\"", "\"event\":\"opened\"");
                break;
            case LEDGER_UNFINISHED:
                Files.writeString(records.resolve("ledger.jsonl"), "{", StandardOpenOption.APPEND);
                break;
            case LEDGER_SIGNER_UNKNOWN:
                Files.delete(records.resolve("ledger.jsonl"));
                Nights.sealed(Files.createDirectory(folder.resolve("other")), "night", Nights.STRANGER);
                Files.copy(folder.resolve("other/ledger.jsonl"), records.resolve("ledger.jsonl"));
                break;
            case LEDGER_LACKS_RECORD:
                cutLedger(0);
                break;
            case LEDGER_LACKS_SEALING:
                cutLedger(1);
                break;
            case LEDGER_DIFFERS:
                put("tagmanifest-sha256.txt");
                break;
            case RECORD_MISSING:
                Files.move(record, folder.resolve("away"));
                break;
            case HEAD_NOT_FOUND:
                options = options.withHead("0".repeat(64));
                break;
            case NOT_ANCHORED:
                break;
            case AMENDMENT_MISSING:
                delete("amendments/0001-note.json");
                delete("amendments/0001-note.json.sig");
                break;
            case LEDGER_LACKS_AMENDMENT:
                cutLedger(2);
                break;
            case AMENDMENT_BROKEN:
                edit("amendments/0001-note.json", "a note", "no note");
                break;
            case AMENDMENT_UNFINISHED:
                delete("amendments/0001-note.json.sig");
                break;
            case OPENING_UNFINISHED:
                Files.createDirectories(records.resolve("next.tmp/data"));
                break;
            case SIMULATED:
            case NOT_SIGNED_OFF:
                break;
            case SIGNED_OFF_BY_SEALER:
                Amendments.add(
                        record,
                        new Statement.SignOff("mine", List.of()),
                        List.of(),
                        "me",
                        Nights.SEALED,
                        Nights.TECHNICIAN);
                break;
            case RENAMED:
                Files.move(record, records.resolve("other"));
                break;
            case DUPLICATE:
                Nights.copy(record, records.resolve("copy"));
                break;
            default:
                throw new AssertionError("no broken record for " + kind);
        }
    }
}
