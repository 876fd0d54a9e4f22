package org.plateaubench.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Nights;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;

/**
 * Everything that somebody without the key can do to a small sealed, amended record and its ledger. Of the changes of
 * single bytes each build tries a share; {@code -Dplateau.forgery.every=1} tries all.
 */
class ForgeryTest {

    private static final int EVERY = Integer.getInteger("plateau.forgery.every", 397);
    private static final int SEED = Integer.getInteger("plateau.forgery.seed", 7);

    private static final TrustFile TRUST =
            Nights.trusting(Map.of("technician", Nights.TECHNICIAN, "lead", Nights.LEAD));

    @TempDir
    static Path original;

    @TempDir
    Path folder;

    private Path record;

    @BeforeAll
    static void seal() throws IOException {
        Path sealed = Nights.sealed(original, "night", Nights.TECHNICIAN);
        Amendments.add(
                sealed,
                new Statement.SetAside("900-rpm.1", "the door was open"),
                List.of(new Amendments.Attached("door.txt", "open".getBytes(StandardCharsets.UTF_8))),
                "technician",
                Nights.SEALED,
                Nights.TECHNICIAN);
        Amendments.add(
                sealed, new Statement.Withdrawal(1, "it was not"), List.of(), "lead", Nights.SEALED, Nights.LEAD);
    }

    @BeforeEach
    void copy() throws IOException {
        record = Nights.copy(original, folder.resolve("records")).resolve("night");
    }

    private AuditReport audit() throws IOException {
        return Audit.audit(record.getParent(), AuditOptions.of(TRUST));
    }

    private List<Finding> failures() throws IOException {
        AuditReport report = audit();
        List<Finding> failures = new ArrayList<>(report.folder());
        report.records().forEach(r -> r.findings().forEach(j -> failures.add(j.finding())));
        failures.removeIf(f -> f.severity() != Severity.FAILURE);
        assertEquals(report.fails(), !failures.isEmpty());
        return failures;
    }

    /** All files that count, relative to the folder of records. */
    private List<Path> files() throws IOException {
        try (Stream<Path> paths = Files.walk(record.getParent())) {
            return paths.filter(Files::isRegularFile)
                    .filter(path -> !path.endsWith("ledger.lock"))
                    .sorted()
                    .toList();
        }
    }

    private void assertFoundAndNamed(Path file, String what) throws IOException {
        String name = file.startsWith(record)
                ? record.relativize(file).toString()
                : file.getFileName().toString();
        List<Finding> failures = failures();
        assertTrue(
                failures.stream()
                        .anyMatch(f -> f.place().equals(name)
                                || f.place().equals(name + "/")
                                || f.place().startsWith(name + ":")
                                || f.found().contains(name)),
                () -> what + " of " + name + ", seed " + SEED + ": " + failures);
    }

    @Test
    void theRecordItselfHolds() throws IOException {
        assertEquals(List.of(), failures());
        long bytes = 0;
        for (Path file : files()) {
            bytes += Files.size(file);
        }
        assertTrue(bytes < 20_000, bytes + " bytes");
    }

    @Test
    void everyChangedByteIsFoundAndItsFileNamed() throws IOException {
        int tried = 0;
        int position = SEED % EVERY;
        for (Path file : files()) {
            byte[] bytes = Files.readAllBytes(file);
            for (; position < bytes.length; position += EVERY) {
                byte[] changed = bytes.clone();
                changed[position] ^= (byte) (1 << (position % 8));
                Files.write(file, changed);
                assertFoundAndNamed(file, "byte " + position + " changed");
                tried++;
            }
            Files.write(file, bytes);
            position -= bytes.length;
        }
        System.out.println("changed bytes: " + tried + " tried, all found");
        assertEquals(List.of(), failures());
    }

    @Test
    void everyInsertedAndEveryTakenByteIsFoundAndItsFileNamed() throws IOException {
        int tried = 0;
        int position = SEED % EVERY;
        for (Path file : files()) {
            byte[] bytes = Files.readAllBytes(file);
            for (; position < bytes.length; position += 2 * EVERY) {
                byte[] longer = Arrays.copyOf(bytes, bytes.length + 1);
                System.arraycopy(bytes, position, longer, position + 1, bytes.length - position);
                Files.write(file, longer);
                assertFoundAndNamed(file, "byte " + position + " doubled");
                byte[] shorter = Arrays.copyOf(bytes, bytes.length - 1);
                System.arraycopy(bytes, position + 1, shorter, position, bytes.length - position - 1);
                Files.write(file, shorter);
                if (!file.endsWith("ledger.jsonl") || position < bytes.length - 1) {
                    assertFoundAndNamed(file, "byte " + position + " taken");
                }
                tried += 2;
            }
            Files.write(file, bytes);
            position = Math.max(0, position - bytes.length);
        }
        System.out.println("inserted and taken bytes: " + tried + " tried, all found");
    }

    @Test
    void everyTruncationIsFoundAndItsFileNamed() throws IOException {
        int tried = 0;
        for (Path file : files()) {
            if (file.endsWith("ledger.jsonl")) {
                continue; // a cut ledger is found by an earlier head only, see below
            }
            byte[] bytes = Files.readAllBytes(file);
            for (int length = SEED % EVERY; length < bytes.length; length += 2 * EVERY) {
                Files.write(file, Arrays.copyOf(bytes, length));
                assertFoundAndNamed(file, "cut to " + length + " bytes");
                tried++;
            }
            Files.write(file, bytes);
        }
        System.out.println("truncations: " + tried + " tried, all found");
    }

    @Test
    void everyRemovedFileIsFoundAndNamed() throws IOException {
        for (Path file : files()) {
            if (file.endsWith("ledger.jsonl")) {
                continue;
            }
            byte[] bytes = Files.readAllBytes(file);
            Files.delete(file);
            assertFoundAndNamed(file, "removal");
            Files.write(file, bytes);
        }
        assertEquals(List.of(), failures());
    }

    @Test
    void everyRenamedFileIsFoundAndBothNamesAreNamed() throws IOException {
        for (Path file : files()) {
            if (file.startsWith(record)) {
                Path other = file.resolveSibling("other-" + file.getFileName());
                Files.move(file, other);
                assertFoundAndNamed(file, "renaming");
                assertFoundAndNamed(other, "renaming");
                Files.move(other, file);
            }
        }
    }

    @Test
    void everyAddedFileIsFoundAndNamed() throws IOException {
        for (String added : List.of(
                "extra.txt",
                "manifest-sha512.txt",
                "tagmanifest-sha512.txt",
                "fetch.txt",
                "data/extra.csv",
                "data/samples.csv.tmp",
                "data/Samples.csv",
                "data/deep/er.txt",
                "signature/other.sig",
                "amendments/0003-note.json",
                "amendments/0003-note.json.sig",
                "amendments/0001-note.json",
                "amendments/readme.txt",
                "amendments/0001-2-photo.jpg",
                "empty-folder/x")) {
            Path file = record.resolve(added);
            boolean newFolder = !Files.exists(file.getParent());
            Files.createDirectories(file.getParent());
            Files.write(file, new byte[0]);
            assertFoundAndNamed(file, "addition");
            Files.delete(file);
            if (newFolder) {
                assertFoundAndNamed(file.getParent(), "addition");
                Files.delete(file.getParent());
            }
        }
        assertEquals(List.of(), failures());
    }

    @Test
    void everyLinkedFileIsFoundAndNamed() throws IOException {
        Path outside = folder.resolve("outside");
        for (Path file : files()) {
            Files.move(file, outside);
            Files.createSymbolicLink(file, outside);
            assertFoundAndNamed(file, "linking");
            Files.delete(file);
            Files.move(outside, file);
        }
    }

    @Test
    void everySwapOfTwoLinesIsFoundAndItsFileNamed() throws IOException {
        for (Path file : List.of(
                record.resolve("data/samples.csv"),
                record.resolve("data/journal.jsonl"),
                record.resolve("data/checkpoints.jsonl"),
                record.resolve("manifest-sha256.txt"),
                record.resolve("tagmanifest-sha256.txt"),
                record.resolveSibling("ledger.jsonl"))) {
            List<String> lines = Files.readAllLines(file);
            byte[] bytes = Files.readAllBytes(file);
            for (int i = 0; i + 1 < lines.size(); i++) {
                List<String> swapped = new ArrayList<>(lines);
                Collections.swap(swapped, i, i + 1);
                Files.writeString(file, String.join("\n", swapped) + "\n");
                assertFoundAndNamed(file, "swap of lines " + i + " and " + (i + 1));
            }
            Files.write(file, bytes);
        }
    }

    @Test
    void aSealTakenAwayIsFoundAlsoWithItsManifests() throws IOException {
        for (String path :
                List.of("signature/tagmanifest-sha256.txt.sig", "tagmanifest-sha256.txt", "manifest-sha256.txt")) {
            Files.delete(record.resolve(path));
            Set<String> codes = new TreeSet<>();
            failures().forEach(f -> codes.add(f.code()));
            assertTrue(codes.contains("SEAL_REMOVED") && codes.contains("NOT_SEALED"), codes.toString());
        }
    }

    @Test
    void aRecordSealedAnewByAStrangerIsToldApartFromABrokenOne() throws IOException {
        Path other = Nights.sealed(folder.resolve("elsewhere"), "night", Nights.STRANGER);

        AuditReport report = Audit.audit(other, AuditOptions.of(TRUST));

        List<String> codes = new ArrayList<>();
        report.records().get(0).findings().stream()
                .filter(AuditReport.Judged::fails)
                .forEach(j -> codes.add(j.finding().code()));
        assertEquals(List.of("SIGNER_UNKNOWN"), codes);
        assertTrue(report.fails());
    }

    @Test
    void aRecordReplacedByTheStrangersIsFoundByTheLedger() throws IOException {
        Path other = Nights.sealed(folder.resolve("elsewhere"), "night", Nights.STRANGER);
        Files.move(record, folder.resolve("away"));
        Nights.copy(other, record);

        List<String> codes = failures().stream().map(Finding::code).toList();

        assertTrue(codes.contains("SIGNER_UNKNOWN") && codes.contains("LEDGER_DIFFERS"), codes.toString());
        assertTrue(codes.contains("AMENDMENT_MISSING"), codes.toString());
    }

    @Test
    void aLedgerWrittenAnewByAStrangerIsFound() throws IOException {
        Path other = Nights.sealed(folder.resolve("elsewhere"), "night", Nights.STRANGER);
        Files.copy(
                other.resolveSibling("ledger.jsonl"),
                record.resolveSibling("ledger.jsonl"),
                StandardCopyOption.REPLACE_EXISTING);
        List<String> codes = failures().stream().map(Finding::code).toList();
        assertTrue(codes.contains("LEDGER_SIGNER_UNKNOWN") && codes.contains("LEDGER_DIFFERS"), codes.toString());
    }

    @Test
    void theSignersPublicKeyPutInAnothersPlaceIsFound() throws IOException {
        Files.writeString(
                record.resolve("signature/signer.pem"), Nights.LEAD.signer().pem());
        List<String> codes = failures().stream().map(Finding::code).toList();
        assertTrue(codes.contains("SIGNATURE_WRONG") && codes.contains("FILE_CHANGED"), codes.toString());
    }

    @Test
    void aKeyOfSmallOrderIsRefused() throws IOException {
        // y = 1: under this key one signature holds for every message
        Files.writeString(
                record.resolve("signature/signer.pem"),
                "-----BEGIN PUBLIC KEY-----\nMCowBQYDK2VwAyEAAQAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n"
                        + "-----END PUBLIC KEY-----\n");
        List<Finding> failures = failures();
        assertTrue(
                failures.stream()
                        .anyMatch(
                                f -> f.code().equals("KEY_BROKEN") && f.found().contains("small order")),
                failures.toString());
    }

    @Test
    void anAmendmentOfAnotherRecordIsRefused() throws IOException {
        Path other = Nights.sealed(record.getParent(), "night-b", Nights.TECHNICIAN);
        Nights.copy(record.resolve("amendments"), other.resolve("amendments"));
        List<Finding> failures = failures();
        assertEquals("AMENDMENT_BROKEN", failures.get(0).code());
        assertEquals("amendments/0001-set-aside.json", failures.get(0).place());
    }

    @Test
    void theLastAmendmentTakenAwayIsFoundByTheLedger() throws IOException {
        Files.delete(record.resolve("amendments/0002-withdrawal.json"));
        Files.delete(record.resolve("amendments/0002-withdrawal.json.sig"));
        List<Finding> failures = failures();
        assertEquals(
                List.of("AMENDMENT_MISSING"),
                failures.stream().map(Finding::code).toList());
        assertEquals("amendments/0002-withdrawal.json", failures.get(0).place());
    }

    @Test
    void aRecordTakenAwayIsFoundByTheLedger() throws IOException {
        Nights.sealed(record.getParent(), "night-b", Nights.TECHNICIAN);
        Files.move(record, folder.resolve("away"));
        AuditReport report = audit();
        Finding missing = report.folder().stream()
                .filter(f -> f.code().equals("RECORD_MISSING"))
                .findFirst()
                .orElseThrow();
        assertTrue(missing.found().contains("'night'"), missing.found());
        assertEquals(Severity.WARNING, missing.severity(), "it was simulated");
    }

    /** What only a head that was kept elsewhere can find: a ledger cut, together with what its lines stood for. */
    @Test
    void aLedgerCutTogetherWithTheWithdrawalIsFoundByAnEarlierHeadOnly() throws IOException {
        String head = audit().ledgerHead().orElseThrow();
        Files.delete(record.resolve("amendments/0002-withdrawal.json"));
        Files.delete(record.resolve("amendments/0002-withdrawal.json.sig"));
        Path ledger = record.resolveSibling("ledger.jsonl");
        List<String> lines = Files.readAllLines(ledger);
        Files.writeString(ledger, String.join("\n", lines.subList(0, lines.size() - 1)) + "\n");

        assertEquals(List.of(), failures());
        AuditReport anchored =
                Audit.audit(record.getParent(), AuditOptions.of(TRUST).withHead(head));
        assertTrue(anchored.fails());
        assertEquals("HEAD_NOT_FOUND", anchored.folder().get(0).code());
    }

    @Test
    void anEarlierHeadIsFoundInALedgerThatGrew() throws IOException {
        String head = audit().ledgerHead().orElseThrow();
        Nights.sealed(record.getParent(), "night-b", Nights.TECHNICIAN);
        AuditReport report =
                Audit.audit(record.getParent(), AuditOptions.of(TRUST).withHead(head));
        assertFalse(report.fails(), report.text());
        assertEquals(List.of(), report.folder());
        assertEquals(
                Optional.of(false), Optional.of(head.equals(report.ledgerHead().orElseThrow())));
    }

    static Stream<String> unsafeNames() {
        return Stream.of("a\nb", "back\\slash", "~home", "C:drive");
    }

    @ParameterizedTest
    @MethodSource("unsafeNames")
    void namesThatMeanAnotherFileElsewhereAreRefused(String name) throws IOException {
        Files.writeString(record.resolve(name), "x");
        List<Finding> failures = failures();
        assertTrue(
                failures.stream()
                        .anyMatch(f ->
                                f.code().equals("NAME_REFUSED") && f.place().equals(name)),
                failures.toString());
        assertFalse(audit().text().contains("a\nb"), "a name from a record moves no cursor");
    }
}
