package org.plateaubench.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Base64;
import java.util.Collections;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Nights;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;

/**
 * Everything that somebody without the key can do to a small sealed, amended record and its ledger. Of what there are
 * thousands of each build tries a share; {@code -Dplateau.forgery.every=1} tries all. A table of what was tried, what an
 * audit found, and what it found only by a head that was kept elsewhere is printed at the end.
 */
class ForgeryTest {

    private static final int EVERY = Integer.getInteger("plateau.forgery.every", 601);
    private static final int SEED = Integer.getInteger("plateau.forgery.seed", 7);

    private static final TrustFile TRUST =
            Nights.trusting(Map.of("technician", Nights.TECHNICIAN, "lead", Nights.LEAD));

    /** How often each kind was tried, found without a head, found only with one. */
    private static final Map<String, int[]> TALLY = new TreeMap<>();

    @TempDir
    static Path original;

    @TempDir
    Path folder;

    private Path record;
    private int choices;
    private static String head;

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
        head = Audit.audit(original, AuditOptions.of(TRUST)).ledgerHead().orElseThrow();
        TALLY.clear();
    }

    @AfterAll
    static void printTally() {
        System.out.printf("%-52s %7s %7s %17s%n", "forgeries, seed " + SEED, "tried", "found", "only with --head");
        TALLY.forEach((kind, n) -> System.out.printf("%-52s %7d %7d %17d%n", kind, n[0], n[1], n[2]));
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

    /** Whether the next of many is among the share that is tried. */
    private boolean chosen() {
        return choices++ % EVERY == SEED % EVERY;
    }

    private static void count(String kind, boolean withoutHead) {
        int[] row = TALLY.computeIfAbsent(kind, k -> new int[3]);
        row[0]++;
        row[withoutHead ? 1 : 2]++;
    }

    private void assertFound(String kind, String... codes) throws IOException {
        List<Finding> failures = failures();
        List<String> found = failures.stream().map(Finding::code).toList();
        assertTrue(found.containsAll(List.of(codes)) && !found.isEmpty(), () -> kind + ": " + failures);
        count(kind, true);
    }

    private void assertFoundAndNamed(String kind, Path file) throws IOException {
        assertFoundAndNamed(kind, file, kind);
    }

    private void assertFoundAndNamed(String kind, Path file, String what) throws IOException {
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
        count(kind, true);
    }

    /** What may need a head that was kept elsewhere. */
    private void assertFoundWithHead(String kind, String what) throws IOException {
        AuditReport anchored =
                Audit.audit(record.getParent(), AuditOptions.of(TRUST).withHead(head));
        assertTrue(anchored.fails(), () -> what + ": " + anchored.text());
        count(kind, !failures().isEmpty());
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
        for (Path file : files()) {
            byte[] bytes = Files.readAllBytes(file);
            for (int position = 0; position < bytes.length; position++) {
                if (chosen()) {
                    byte[] changed = bytes.clone();
                    changed[position] ^= (byte) (1 << (position % 8));
                    Files.write(file, changed);
                    assertFoundAndNamed("byte changed", file, "change of byte " + position);
                }
            }
            Files.write(file, bytes);
        }
        assertEquals(List.of(), failures());
    }

    @Test
    void everyInsertedByteIsFoundAndItsFileNamed() throws IOException {
        for (Path file : files()) {
            byte[] bytes = Files.readAllBytes(file);
            for (int position = 0; position < bytes.length; position++) {
                if (chosen()) {
                    byte[] longer = Arrays.copyOf(bytes, bytes.length + 1);
                    System.arraycopy(bytes, position, longer, position + 1, bytes.length - position);
                    Files.write(file, longer);
                    assertFoundAndNamed("byte inserted", file, "doubling of byte " + position);
                }
            }
            Files.write(file, bytes);
        }
    }

    @Test
    void everyDeletedByteIsFoundAndItsFileNamed() throws IOException {
        for (Path file : files()) {
            byte[] bytes = Files.readAllBytes(file);
            // the ledger's last byte is where it is cut, see below
            int end = file.endsWith("ledger.jsonl") ? bytes.length - 1 : bytes.length;
            for (int position = 0; position < end; position++) {
                if (chosen()) {
                    byte[] shorter = Arrays.copyOf(bytes, bytes.length - 1);
                    System.arraycopy(bytes, position + 1, shorter, position, bytes.length - position - 1);
                    Files.write(file, shorter);
                    assertFoundAndNamed("byte deleted", file, "deletion of byte " + position);
                }
            }
            Files.write(file, bytes);
        }
    }

    @Test
    void everyTruncationIsFoundAndItsFileNamed() throws IOException {
        for (Path file : files()) {
            if (file.endsWith("ledger.jsonl")) {
                continue; // see below
            }
            byte[] bytes = Files.readAllBytes(file);
            for (int length = 0; length < bytes.length; length++) {
                if (chosen()) {
                    Files.write(file, Arrays.copyOf(bytes, length));
                    assertFoundAndNamed("file of the record truncated", file, "truncation to " + length + " bytes");
                }
            }
            Files.write(file, bytes);
        }
    }

    /** Without an earlier head nobody can tell a cut ledger from one that was never longer. */
    @Test
    void everyCutOfTheLedgerIsFoundAtLeastByAnEarlierHead() throws IOException {
        Path ledger = record.resolveSibling("ledger.jsonl");
        byte[] bytes = Files.readAllBytes(ledger);
        for (int length = 0; length < bytes.length; length++) {
            if (chosen()) {
                Files.write(ledger, Arrays.copyOf(bytes, length));
                assertFoundWithHead("ledger cut, the record as it was", "cut to " + length + " bytes");
            }
        }
        Files.delete(ledger);
        assertFoundWithHead("ledger removed", "removal");
    }

    @Test
    void everyRemovedFileIsFoundAndNamed() throws IOException {
        for (Path file : files()) {
            if (file.endsWith("ledger.jsonl")) {
                continue;
            }
            byte[] bytes = Files.readAllBytes(file);
            Files.delete(file);
            assertFoundAndNamed("file removed", file);
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
                assertFoundAndNamed("file renamed", file);
                assertFoundAndNamed("file renamed", other);
                Files.move(other, file);
            }
        }
    }

    @Test
    void everyAddedFileIsFoundAndNamed() throws IOException {
        for (String added : List.of(
                "extra.txt",
                ".hidden",
                "manifest-sha512.txt",
                "tagmanifest-sha512.txt",
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
            assertFoundAndNamed("file added", file);
            Files.delete(file);
            if (newFolder) {
                assertFoundAndNamed("empty folder added", file.getParent());
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
            assertFoundAndNamed("file linked", file);
            Files.delete(file);
            Files.move(outside, file);
        }
        for (String linked : List.of("data", "signature", "amendments")) {
            Path inside = record.resolve(linked);
            Files.move(inside, outside);
            Files.createSymbolicLink(inside, outside);
            assertFoundAndNamed("folder linked", inside);
            Files.delete(inside);
            Files.move(outside, inside);
        }
        Path nowhere = record.resolve("data/nowhere");
        Files.createSymbolicLink(nowhere, folder.resolve("nowhere"));
        assertFoundAndNamed("link added", nowhere);
        Files.delete(nowhere);
        Files.createSymbolicLink(nowhere, record.resolve("data/plan.yaml"));
        assertFoundAndNamed("link added", nowhere);
    }

    @Test
    void everyFetchFileIsRefused() throws IOException {
        for (String text : List.of(
                "",
                "https://example.org/plan.yaml 120 data/plan.yaml\n",
                "file:///etc/hosts - data/hosts\n",
                "https://example.org/x - ../../x\n",
                "not a line of it")) {
            Files.writeString(record.resolve("fetch.txt"), text);
            assertFound("fetch.txt added", "FETCH_REFUSED");
        }
    }

    @Test
    void everySwapOfTwoLinesIsFoundAndItsFileNamed() throws IOException {
        for (Path file : files()) {
            byte[] bytes = Files.readAllBytes(file);
            List<String> lines = List.of(new String(bytes, StandardCharsets.ISO_8859_1).split("(?<=\n)"));
            for (int i = 0; i < lines.size(); i++) {
                for (int j = i + 1; j < lines.size(); j++) {
                    if (!lines.get(i).equals(lines.get(j)) && chosen()) {
                        List<String> swapped = new ArrayList<>(lines);
                        Collections.swap(swapped, i, j);
                        Files.write(file, String.join("", swapped).getBytes(StandardCharsets.ISO_8859_1));
                        assertFoundAndNamed("two lines swapped", file, "swap of lines " + i + " and " + j);
                    }
                }
            }
            Files.write(file, bytes);
        }
    }

    @Test
    void everyPairOfFilesThatChangePlacesIsFound() throws IOException {
        List<Path> files = files();
        for (int i = 0; i < files.size(); i++) {
            for (int j = i + 1; j < files.size(); j++) {
                byte[] one = Files.readAllBytes(files.get(i));
                byte[] other = Files.readAllBytes(files.get(j));
                if (!Arrays.equals(one, other) && (j == i + 1 || chosen())) {
                    Files.write(files.get(i), other);
                    Files.write(files.get(j), one);
                    assertFound("two files exchanged");
                    Files.write(files.get(i), one);
                    Files.write(files.get(j), other);
                }
            }
        }
    }

    @Test
    void aSealTakenAwayIsFoundAlsoWithItsManifests() throws IOException {
        for (String path :
                List.of("signature/tagmanifest-sha256.txt.sig", "tagmanifest-sha256.txt", "manifest-sha256.txt")) {
            Files.delete(record.resolve(path));
            assertFound("seal removed, and manifests with it", "SEAL_REMOVED", "NOT_SEALED");
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

        assertFound("signer swapped", "SIGNER_UNKNOWN", "LEDGER_DIFFERS", "AMENDMENT_MISSING");
    }

    @Test
    void aLedgerWrittenAnewByAStrangerIsFound() throws IOException {
        Path other = Nights.sealed(folder.resolve("elsewhere"), "night", Nights.STRANGER);
        Files.copy(
                other.resolveSibling("ledger.jsonl"),
                record.resolveSibling("ledger.jsonl"),
                StandardCopyOption.REPLACE_EXISTING);
        assertFound("ledger written anew by a stranger", "LEDGER_SIGNER_UNKNOWN", "LEDGER_DIFFERS");
    }

    @Test
    void everyLineTakenOutOfTheLedgerOrDoubledIsFound() throws IOException {
        Path ledger = record.resolveSibling("ledger.jsonl");
        List<String> lines = Files.readAllLines(ledger);
        for (int i = 0; i < lines.size(); i++) {
            List<String> changed = new ArrayList<>(lines);
            changed.add(i, lines.get(i));
            Files.writeString(ledger, String.join("\n", changed) + "\n");
            assertFoundAndNamed("line of the ledger doubled or taken out", ledger);
            if (i < lines.size() - 1) { // without its last it is cut, see above
                changed.subList(i, i + 2).clear();
                Files.writeString(ledger, String.join("\n", changed) + "\n");
                assertFoundAndNamed("line of the ledger doubled or taken out", ledger);
            }
        }
    }

    @Test
    void theSignersPublicKeyPutInAnothersPlaceIsFound() throws IOException {
        Path manifest = record.resolve("tagmanifest-sha256.txt");
        Path pem = record.resolve("signature/signer.pem");
        String before = Files.readString(manifest);
        for (SealingKey key : List.of(Nights.LEAD, Nights.STRANGER)) {
            Files.writeString(manifest, before);
            String old = sha256(Files.readAllBytes(pem));
            Files.writeString(pem, key.signer().pem());
            assertFound("signer swapped", "SIGNATURE_WRONG", "FILE_CHANGED");

            Files.writeString(manifest, before.replace(old, sha256(Files.readAllBytes(pem))));
            assertFound("signer swapped", "SIGNATURE_WRONG", "BAG_INFO_BROKEN");

            Files.write(record.resolve("signature/tagmanifest-sha256.txt.sig"), key.sign(Files.readAllBytes(manifest)));
            assertFound("signer swapped", "BAG_INFO_BROKEN", "LEDGER_DIFFERS");
            before = Files.readString(manifest);
        }
    }

    private static String sha256(byte[] bytes) {
        try {
            return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(bytes));
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException(e);
        }
    }

    @ParameterizedTest
    @MethodSource("org.plateaubench.record.SmallOrder#keys")
    void aKeyOfSmallOrderIsRefused(String raw) throws IOException {
        byte[] spki = HexFormat.of().parseHex("302a300506032b6570032100" + raw);
        Files.writeString(
                record.resolve("signature/signer.pem"),
                "-----BEGIN PUBLIC KEY-----\n" + Base64.getEncoder().encodeToString(spki)
                        + "\n-----END PUBLIC KEY-----\n");
        assertFound("key of small order", "KEY_BROKEN");

        // R the neutral point, S zero: under the key y = 1 this holds for every message
        byte[] signature = new byte[64];
        signature[0] = 1;
        Files.write(record.resolve("signature/tagmanifest-sha256.txt.sig"), signature);
        assertFound("key of small order", "KEY_BROKEN");
    }

    @Test
    void anAmendmentOfAnotherRecordIsRefused() throws IOException {
        Path other = Nights.sealed(record.getParent(), "night-b", Nights.TECHNICIAN);
        Nights.copy(record.resolve("amendments"), other.resolve("amendments"));
        List<Finding> failures = failures();
        assertEquals("AMENDMENT_BROKEN", failures.get(0).code());
        assertEquals("amendments/0001-set-aside.json", failures.get(0).place());
        count("amendment of another record added", true);
    }

    @Test
    void theLastAmendmentTakenAwayIsFoundByTheLedger() throws IOException {
        takeAway("amendments/0002-withdrawal.json");
        List<Finding> failures = failures();
        assertEquals(
                List.of("AMENDMENT_MISSING"),
                failures.stream().map(Finding::code).toList());
        assertEquals("amendments/0002-withdrawal.json", failures.get(0).place());
        count("amendment or withdrawal removed", true);
    }

    @Test
    void theFirstAmendmentTakenAwayIsFoundWithAndWithoutTheWithdrawal() throws IOException {
        takeAway("amendments/0001-set-aside.json");
        Files.delete(record.resolve("amendments/0001-1-door.txt"));
        assertFound("amendment or withdrawal removed", "AMENDMENT_MISSING");

        Files.move(
                record.resolve("amendments/0002-withdrawal.json"), record.resolve("amendments/0001-withdrawal.json"));
        Files.move(
                record.resolve("amendments/0002-withdrawal.json.sig"),
                record.resolve("amendments/0001-withdrawal.json.sig"));
        assertFound("amendment or withdrawal removed", "AMENDMENT_BROKEN");

        takeAway("amendments/0001-withdrawal.json");
        assertFound("amendment or withdrawal removed", "AMENDMENT_MISSING");
        Files.delete(record.resolve("amendments"));
        assertFound("amendment or withdrawal removed", "AMENDMENT_MISSING");
    }

    private void takeAway(String signed) throws IOException {
        Files.delete(record.resolve(signed));
        Files.delete(record.resolve(signed + ".sig"));
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
        count("record removed (a warning, since it was simulated)", true);
    }

    /** What only a head that was kept elsewhere can find: a ledger cut, together with what its lines stood for. */
    @Test
    void aLedgerCutTogetherWithWhatItsLinesStoodForIsFoundByAnEarlierHeadOnly() throws IOException {
        Path ledger = record.resolveSibling("ledger.jsonl");
        List<String> lines = Files.readAllLines(ledger);
        assertEquals(4, lines.size());
        Nights.sealed(folder.resolve("elsewhere"), "night-b", Nights.TECHNICIAN);

        takeAway("amendments/0002-withdrawal.json");
        Files.writeString(ledger, String.join("\n", lines.subList(0, 3)) + "\n");
        assertEquals(List.of(), failures());
        AuditReport anchored =
                Audit.audit(record.getParent(), AuditOptions.of(TRUST).withHead(head));
        assertTrue(anchored.fails());
        assertEquals("HEAD_NOT_FOUND", anchored.folder().get(0).code());
        count("ledger cut, and what its lines stood for removed", false);

        takeAway("amendments/0001-set-aside.json");
        Files.delete(record.resolve("amendments/0001-1-door.txt"));
        Files.delete(record.resolve("amendments"));
        Files.writeString(ledger, String.join("\n", lines.subList(0, 2)) + "\n");
        assertFoundWithHead("ledger cut, and what its lines stood for removed", "both amendments");

        Files.move(record, folder.resolve("away"));
        Nights.copy(folder.resolve("elsewhere/night-b"), record.resolveSibling("night-b"));
        Files.copy(folder.resolve("elsewhere/ledger.jsonl"), ledger, StandardCopyOption.REPLACE_EXISTING);
        assertFoundWithHead("ledger cut, and what its lines stood for removed", "the record");
    }

    @Test
    void anEarlierHeadIsFoundInALedgerThatGrew() throws IOException {
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

    /** Tricks of a manifest's path, in either manifest. */
    @ParameterizedTest
    @ValueSource(
            strings = {
                "../outside",
                "data/../../outside",
                "/etc/hosts",
                "~/a.txt",
                "~root",
                "C:/a.txt",
                "c:a.txt",
                "data\\a.txt",
                "data//plan.yaml",
                "data/./plan.yaml",
                "data/plan.yaml/",
                "data/%0A",
                "data/%70lan.yaml",
                "data/PLAN.YAML",
                "./data/plan.yaml"
            })
    void pathsOfAManifestThatLeaveTheBagAreRefused(String path) throws IOException {
        for (String manifest : List.of("manifest-sha256.txt", "tagmanifest-sha256.txt")) {
            Path file = record.resolve(manifest);
            String before = Files.readString(file);
            Files.writeString(file, before + "0".repeat(64) + "  " + path + "\n");
            assertFound("path trick", "MANIFEST_BROKEN");
            Files.writeString(file, before);
        }
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
        count("path trick", true);
    }
}
