package org.plateaubench.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Json;
import org.plateaubench.record.Nights;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;

class AuditTest {

    private static final TrustFile TRUST =
            Nights.trusting(Map.of("technician", Nights.TECHNICIAN, "lead", Nights.LEAD));

    @TempDir
    Path folder;

    private Path records;
    private Path record;

    @BeforeEach
    void seal() throws IOException {
        records = folder.resolve("records");
        record = Nights.sealed(records, "night", Nights.TECHNICIAN);
    }

    /** Severity, code and place of everything found in the one record, accepted findings in brackets. */
    private static List<String> findings(AuditReport report) {
        List<String> findings = new ArrayList<>();
        report.records().get(0).findings().forEach(j -> {
            String text = j.finding().severity().text() + " " + j.finding().code() + " "
                    + j.finding().place();
            findings.add(j.acceptedBy().isPresent() ? "(" + text.strip() + ")" : text.strip());
        });
        return findings;
    }

    private AuditReport audit(TrustFile trust) throws IOException {
        return Audit.audit(record, AuditOptions.of(trust));
    }

    private void amend(Statement statement, SealingKey key) throws IOException {
        Amendments.add(record, statement, List.of(), "signer", Nights.SEALED, key);
    }

    @Test
    void aSealedRecordOfATrustedSignerHoldsAndSaysWhatItIsNot() throws IOException {
        AuditReport report = audit(TRUST);

        assertFalse(report.fails());
        assertEquals(List.of("note SIMULATED", "note NOT_SIGNED_OFF"), findings(report));
        assertEquals("NOT_ANCHORED", report.folder().get(0).code());
        assertEquals(
                "night  holds | sealed by technician | not signed off | SIMULATED",
                report.text().lines().findFirst().orElseThrow());
    }

    @Test
    void withoutTrustNothingIsBelieved() throws IOException {
        AuditReport report = audit(TrustFile.EMPTY);

        assertTrue(report.fails());
        assertEquals(
                "failure SIGNER_UNKNOWN signature/signer.pem", findings(report).get(0));
        String fingerprint = Nights.TECHNICIAN.signer().fingerprint().substring(0, 16);
        assertEquals(
                "night  FAILS SIGNER_UNKNOWN signature/signer.pem | sealed by unknown key " + fingerprint
                        + " | not signed off | SIMULATED",
                report.text().lines().findFirst().orElseThrow());
    }

    @Test
    void aKeyCountsOnlyInItsTime() throws IOException {
        TrustFile later = new TrustFile(
                List.of(new TrustFile.Trusted(
                        "technician",
                        Nights.TECHNICIAN.signer(),
                        Optional.of(Instant.parse("2026-12-01T00:00:00Z")),
                        Optional.empty())),
                List.of());
        AuditReport report = audit(later);
        assertTrue(report.fails());
        assertEquals(
                "failure SIGNER_NOT_VALID signature/signer.pem",
                findings(report).get(0));
    }

    @Test
    void aRevokedKeyFailsUnlessAHeadKeptBeforeCoversTheRecord() throws IOException {
        TrustFile revoked = new TrustFile(
                TRUST.trusted(),
                List.of(new TrustFile.Revoked(
                        Nights.TECHNICIAN.signer().fingerprint(), Instant.parse("2026-12-01T00:00:00Z"), "stolen")));
        String head = audit(TRUST).ledgerHead().orElseThrow();

        AuditReport alone = audit(revoked);
        assertTrue(alone.fails());
        assertEquals(
                "failure SIGNER_REVOKED signature/signer.pem", findings(alone).get(0));

        AuditReport anchored = Audit.audit(record, AuditOptions.of(revoked).withHead(head));
        assertFalse(anchored.fails());
        assertEquals(
                "warning SIGNER_REVOKED signature/signer.pem",
                findings(anchored).get(0));
    }

    @Test
    void aSignOffIsShownAndAcceptsWhatItNames() throws IOException {
        TrustFile onlyLead = Nights.trusting(Map.of("lead", Nights.LEAD));
        assertTrue(audit(onlyLead).fails());
        amend(
                new Statement.SignOff(
                        "seen", List.of(new Statement.Accepted("SIGNER_UNKNOWN", "signature/signer.pem"))),
                Nights.LEAD);

        AuditReport report = audit(onlyLead);

        assertFalse(report.fails());
        assertEquals(List.of("(failure SIGNER_UNKNOWN signature/signer.pem)", "note SIMULATED"), findings(report));
        assertEquals(List.of("lead"), report.records().get(0).signedOffBy());
    }

    @Test
    void nobodyAcceptsWhatIsFoundInTheirOwnRecord() throws IOException {
        Path elsewhere = Nights.sealed(folder.resolve("elsewhere"), "best-of-ten", Nights.TECHNICIAN);
        record = Nights.copy(elsewhere, records.resolve("best-of-ten"));
        Statement accepting =
                new Statement.SignOff("fine", List.of(new Statement.Accepted("LEDGER_LACKS_RECORD", "ledger.jsonl")));
        amend(accepting, Nights.TECHNICIAN);
        assertTrue(audit(TRUST).fails());

        amend(accepting, Nights.LEAD);
        assertFalse(audit(TRUST).fails());
    }

    @Test
    void whatTouchesTheBytesCannotBeAccepted() throws IOException {
        amend(
                new Statement.SignOff("seen", List.of(new Statement.Accepted("FILE_CHANGED", "data/plan.yaml"))),
                Nights.LEAD);
        Files.writeString(record.resolve("data/plan.yaml"), "other");
        AuditReport report = audit(TRUST);
        assertTrue(report.fails());
        assertTrue(
                findings(report).contains("failure FILE_CHANGED data/plan.yaml"),
                findings(report).toString());
    }

    @Test
    void aSignOffCanBeWithdrawnAndAStrangersWithdrawalDoesNothing() throws IOException {
        amend(new Statement.SignOff("seen", List.of()), Nights.LEAD);
        amend(new Statement.Withdrawal(1, "not by me"), Nights.STRANGER);
        AuditReport strangers = audit(TRUST);
        assertEquals(List.of("lead"), strangers.records().get(0).signedOffBy());
        assertEquals(
                "failure SIGNER_UNKNOWN amendments/0002-withdrawal.json",
                findings(strangers).get(0));

        amend(new Statement.Withdrawal(1, "seen the wrong one"), Nights.LEAD);
        assertEquals(List.of(), audit(TRUST).records().get(0).signedOffBy());
        assertTrue(findings(audit(TRUST)).contains("note NOT_SIGNED_OFF"));
    }

    @Test
    void signingOffOnesOwnRecordIsSaid() throws IOException {
        amend(new Statement.SignOff("my own", List.of()), Nights.TECHNICIAN);
        AuditReport report = audit(TRUST);
        assertFalse(report.fails());
        assertEquals(List.of("note SIMULATED", "warning SIGNED_OFF_BY_SEALER"), findings(report));
    }

    @Test
    void aRecordCopiedWithoutItsLedgerHolds() throws IOException {
        Path copy = Nights.copy(record, folder.resolve("night"));
        AuditReport report = Audit.audit(copy, AuditOptions.of(TRUST));
        assertFalse(report.fails());
        assertEquals("NO_LEDGER", report.folder().get(0).code());
        assertEquals(Optional.empty(), report.ledgerHead());
    }

    @Test
    void aRecordPutBesideAnotherLedgerIsFound() throws IOException {
        Path elsewhere = Nights.sealed(folder.resolve("elsewhere"), "best-of-ten", Nights.TECHNICIAN);
        Nights.copy(elsewhere, records.resolve("best-of-ten"));
        AuditReport report = Audit.audit(records, AuditOptions.of(TRUST));
        assertTrue(report.fails());
        assertEquals(
                "best-of-ten  FAILS LEDGER_LACKS_RECORD ledger.jsonl | sealed by technician | not signed off | SIMULATED",
                report.text().lines().findFirst().orElseThrow());
        assertFalse(report.records().get(1).fails());
    }

    @Test
    void aSealingThatTheLedgerDoesNotKnowIsAWarning() throws IOException {
        Path ledger = records.resolve("ledger.jsonl");
        Files.writeString(ledger, Files.readAllLines(ledger).get(0) + "\n");
        AuditReport report = audit(TRUST);
        assertFalse(report.fails());
        assertEquals(
                "warning LEDGER_LACKS_SEALING ledger.jsonl", findings(report).get(0));
    }

    @Test
    void anAmendmentThatTheLedgerDoesNotKnowIsAWarningAndTheNextOneEntersBoth() throws IOException {
        Path ledger = records.resolve("ledger.jsonl");
        byte[] before = Files.readAllBytes(ledger);
        amend(new Statement.Note("one"), Nights.LEAD);
        Files.write(ledger, before);
        assertEquals(
                "warning LEDGER_LACKS_AMENDMENT amendments/0001-note.json",
                findings(audit(TRUST)).get(0));

        amend(new Statement.Note("two"), Nights.LEAD);
        assertEquals(List.of("note SIMULATED", "note NOT_SIGNED_OFF"), findings(audit(TRUST)));
        assertEquals(4, Files.readAllLines(ledger).size());
    }

    @Test
    void anUnfinishedLedgerLineIsAWarning() throws IOException {
        Path ledger = records.resolve("ledger.jsonl");
        Files.writeString(ledger, Files.readString(ledger) + "{\"type\":");
        AuditReport report = audit(TRUST);
        assertFalse(report.fails());
        assertEquals("LEDGER_UNFINISHED", report.folder().get(0).code());
        assertEquals("ledger.jsonl:3", report.folder().get(0).place());
    }

    @Test
    void aLedgerThatIsNoFileIsRefused() throws IOException {
        Files.delete(records.resolve("ledger.jsonl"));
        Files.createDirectory(records.resolve("ledger.jsonl"));
        AuditReport report = audit(TRUST);
        assertTrue(report.fails());
        assertEquals("LEDGER_BROKEN", report.folder().get(0).code());
    }

    @Test
    void renamedAndDoubledRecordsAreSaid() throws IOException {
        Nights.copy(record, records.resolve("night-copy"));
        AuditReport report = Audit.audit(records, AuditOptions.of(TRUST));
        assertFalse(report.fails());
        assertTrue(report.records().get(1).findings().stream()
                .anyMatch(j -> j.finding().code().equals("RENAMED")));
        assertTrue(report.folder().stream().anyMatch(f -> f.code().equals("DUPLICATE")));
    }

    @Test
    void aLinkToARecordIsRefused() throws IOException {
        Files.createSymbolicLink(records.resolve("other"), record);
        AuditReport report = Audit.audit(records, AuditOptions.of(TRUST));
        assertTrue(report.fails());
        assertTrue(report.folder().stream()
                .anyMatch(f -> f.code().equals("LINK_REFUSED") && f.place().equals("other")));
    }

    @Test
    void aFolderWithoutARecordFails() throws IOException {
        Path empty = Files.createDirectory(folder.resolve("empty"));
        AuditReport report = Audit.audit(empty, AuditOptions.of(TRUST));
        assertTrue(report.fails());
        assertTrue(report.folder().stream().anyMatch(f -> f.code().equals("NOT_A_RECORD")));
    }

    @Test
    void recordsOpenedBeforeADayAreLeftOutAndNotMissing() throws IOException {
        AuditOptions all = AuditOptions.of(TRUST);
        List<String> done = new ArrayList<>();
        AuditOptions since = new AuditOptions(
                TRUST,
                Optional.empty(),
                Optional.of(LocalDate.parse("2026-11-25")),
                Optional.empty(),
                2,
                (d, n) -> done.add(d + "/" + n));
        assertEquals(1, Audit.audit(records, all).records().size());
        AuditReport report = Audit.audit(records, since);
        assertEquals(List.of(), report.records());
        assertFalse(report.fails());
        assertEquals(List.of(), done);
    }

    @Test
    void manyRecordsSideBySideAreReportedInOrderWithProgress() throws IOException {
        for (String name : List.of("c", "a", "b")) {
            Nights.sealed(records, name, Nights.TECHNICIAN);
        }
        Files.writeString(records.resolve("b/data/plan.yaml"), "other");
        List<String> done = new ArrayList<>();
        AuditOptions options = new AuditOptions(
                TRUST, Optional.empty(), Optional.empty(), Optional.empty(), 3, (d, n) -> done.add(d + "/" + n));

        AuditReport report = Audit.audit(records, options);

        assertEquals(
                List.of("a", "b", "c", "night"),
                report.records().stream().map(AuditReport.RecordReport::path).toList());
        assertEquals(List.of("1/4", "2/4", "3/4", "4/4"), done);
        assertTrue(report.records().get(1).fails());
        assertTrue(report.text().contains("\nb: failure: data/plan.yaml: manifest-sha256.txt has "), report.text());
        assertFalse(
                report.text().contains("note: the bench is simulated"), "of many records, notes stay in their line");
    }

    @Test
    void theJsonFormHoldsEverything() throws Exception {
        Map<String, Object> json = Json.read(audit(TRUST).json().getBytes(StandardCharsets.UTF_8));
        assertEquals(List.of("fails", "ledger_head", "folder", "records"), List.copyOf(json.keySet()));
        assertEquals(false, json.get("fails"));
        Map<?, ?> first = (Map<?, ?>) ((List<?>) json.get("records")).get(0);
        assertEquals("technician", first.get("sealed_by"));
        Map<?, ?> finding = (Map<?, ?>) ((List<?>) first.get("findings")).get(0);
        assertEquals("SIMULATED", finding.get("code"));
        assertEquals("nothing was measured", finding.get("why"));
    }

    @Test
    void namesFromARecordMoveNoCursor() throws IOException {
        Files.writeString(record.resolve("data/\u001b[2Jx\u202ey"), "");
        String text = audit(TRUST).text();
        assertFalse(text.chars().anyMatch(c -> Character.isISOControl(c) && c != '\n'), text);
        assertFalse(text.contains("\u202e"));
        assertTrue(text.contains("data/?[2Jx?y"), text);
    }

    @Test
    void aRecordInUseIsNotSealedAndNothingElse() throws IOException {
        Path going = Nights.unsealed(records, "going", Nights.TECHNICIAN);
        List<String> findings = findings(Audit.audit(going, AuditOptions.of(TRUST)));
        assertEquals(
                List.of(
                        "failure NOT_SEALED signature/tagmanifest-sha256.txt.sig",
                        "note SIMULATED",
                        "note NOT_SIGNED_OFF"),
                findings);
    }
}
