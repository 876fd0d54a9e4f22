package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** The end of the program at each single operation on a file. */
class InterruptionTest {

    @TempDir
    Path folder;

    private static Map<String, String> hashes(Path folder) throws IOException {
        Map<String, String> hashes = new LinkedHashMap<>();
        for (String path : FolderTree.of(folder, finding -> {}).files().keySet()) {
            hashes.put(path, Sha256.of(folder.resolve(path)));
        }
        return hashes;
    }

    private static TreeSet<String> failures(Path record) throws IOException {
        TreeSet<String> codes = new TreeSet<>();
        Verified.of(record).findings().stream()
                .filter(f -> f.severity() == Severity.FAILURE)
                .forEach(f -> codes.add(f.code()));
        return codes;
    }

    @ParameterizedTest
    @EnumSource
    void aSealingThatEndedAnywhereIsNoTamperingAndCanBeRepeated(FailingOps.End end) throws IOException {
        Path original = Nights.unsealed(folder.resolve("original"), "night", Nights.TECHNICIAN);
        Path whole = Nights.copy(original.getParent(), folder.resolve("whole"));
        Sealing.seal(whole.resolve("night"), Nights.TECHNICIAN, Nights.SEALED, Nights.OUTCOME, new QuickOps());

        int operation = 0;
        boolean failed = true;
        while (failed) {
            Path copy = Nights.copy(original.getParent(), folder.resolve(end + "-" + operation));
            Path record = copy.resolve("night");
            FailingOps ops = new FailingOps(operation, end);
            try {
                Sealing.seal(record, Nights.TECHNICIAN, Nights.SEALED, Nights.OUTCOME, ops);
            } catch (IOException e) {
                assertTrue(ops.failed(), e.toString());
            }
            failed = ops.failed();

            boolean sealed = Files.exists(record.resolve(RecordFolder.SIGNATURE));
            assertEquals(sealed ? "[]" : "[NOT_SEALED]", failures(record).toString(), "operation " + operation);
            Sealing.seal(record, Nights.TECHNICIAN, Nights.SEALED, Nights.OUTCOME, new QuickOps());
            assertEquals(hashes(whole), hashes(copy), "operation " + operation);
            operation++;
        }
        assertEquals(12, operation, "five files, each written and moved, a ledger line, and none");
    }

    @ParameterizedTest
    @EnumSource
    void anAmendmentThatEndedAnywhereCanBeRepeated(FailingOps.End end) throws IOException {
        Path original = Nights.sealed(folder.resolve("original"), "night", Nights.TECHNICIAN);
        Path whole = Nights.copy(original.getParent(), folder.resolve("whole"));
        note(whole.resolve("night"), new QuickOps());

        int operation = 0;
        boolean failed = true;
        while (failed) {
            Path copy = Nights.copy(original.getParent(), folder.resolve(end + "-" + operation));
            Path record = copy.resolve("night");
            FailingOps ops = new FailingOps(operation, end);
            try {
                note(record, ops);
            } catch (IOException e) {
                assertTrue(ops.failed(), e.toString());
            }
            failed = ops.failed();

            if (!Files.exists(record.resolve("amendments/0001-note.json.sig"))) {
                TreeSet<String> codes = failures(record);
                codes.remove("AMENDMENT_UNFINISHED");
                assertEquals("[]", codes.toString(), "operation " + operation);
                note(record, new QuickOps());
                assertEquals(hashes(whole), hashes(copy), "operation " + operation);
            } else {
                assertEquals("[]", failures(record).toString(), "operation " + operation);
            }
            operation++;
        }
        assertEquals(9, operation, "a folder, three files, each written and moved, a ledger line, and none");
    }

    private static void note(Path record, FileOps ops) throws IOException {
        Amendments.add(
                record,
                new Statement.Note("a bird was heard"),
                List.of(new Amendments.Attached("Bird.ogg", new byte[] {1, 2, 3})),
                "technician",
                Nights.SEALED,
                Nights.TECHNICIAN,
                ops);
    }

    @ParameterizedTest
    @EnumSource
    void anOpeningThatEndedAnywhereLetsTheNextRunBegin(FailingOps.End end) throws IOException {
        int operation = 0;
        boolean failed = true;
        while (failed) {
            Path records = folder.resolve(end + "-" + operation);
            FailingOps ops = new FailingOps(operation, end);
            try {
                RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN, ops, 2_000)
                        .close();
            } catch (IOException e) {
                assertTrue(ops.failed(), e.toString());
            }
            failed = ops.failed();
            if (Files.exists(records.resolve("night"))) {
                goOnAndSeal(records.resolve("night"));
                assertEquals("[]", failures(records.resolve("night")).toString(), "operation " + operation);
            }
            Path next = Nights.sealed(records, "night", Nights.TECHNICIAN);
            assertEquals("[]", failures(next).toString(), "operation " + operation);
            assertEquals(next.getFileName().toString(), RecordFolder.open(next).name());
            List<RecordFault> torn = new ArrayList<>();
            new Ledger(records).read(torn::add);
            assertEquals(List.of(), torn);
            operation++;
        }
        assertEquals(16, operation, "three folders, ten files, a name, a ledger line, and none");
    }

    private static void goOnAndSeal(Path record) throws IOException {
        try (RecordWriter writer = RecordWriter.reopen(
                record, Nights.TECHNICIAN, Nights.SEALED, Nights.TECHNICIAN.signer()::equals, new QuickOps(), 2_000)) {
            writer.seal(Nights.SEALED, Nights.OUTCOME);
        }
    }

    @ParameterizedTest
    @EnumSource
    void aReopeningThatEndedAnywhereLosesNoByteAndCanBeRepeated(FailingOps.End end) throws IOException {
        Path original = Nights.unsealed(folder.resolve("original"), "night", Nights.TECHNICIAN);
        for (String path : List.of("data/samples.csv", "data/journal.jsonl", "data/checkpoints.jsonl")) {
            Files.writeString(original.resolve(path), "torn " + path, StandardOpenOption.APPEND);
        }
        Files.delete(original.resolveSibling("ledger.jsonl"));

        int operation = 0;
        boolean failed = true;
        while (failed) {
            Path record = Nights.copy(original.getParent(), folder.resolve(end + "-" + operation))
                    .resolve("night");
            FailingOps ops = new FailingOps(operation, end);
            try {
                RecordWriter.reopen(
                                record,
                                Nights.TECHNICIAN,
                                Nights.SEALED,
                                Nights.TECHNICIAN.signer()::equals,
                                ops,
                                2_000)
                        .close();
            } catch (IOException e) {
                assertTrue(ops.failed(), e.toString());
            }
            failed = ops.failed();
            goOnAndSeal(record);
            assertEquals("[]", failures(record).toString(), "operation " + operation);
            for (String path : List.of("data/samples.csv", "data/journal.jsonl", "data/checkpoints.jsonl")) {
                assertTrue(kept(record, "torn " + path), path + ", operation " + operation);
            }
            operation++;
        }
        assertEquals(11, operation, "three files, each written, named and cut off, a ledger line, and none");
    }

    private static boolean kept(Path record, String text) throws IOException {
        for (String path :
                FolderTree.of(record.resolve("data"), finding -> {}).files().keySet()) {
            if (path.startsWith("torn-")
                    && Files.readString(record.resolve("data").resolve(path)).equals(text)) {
                return true;
            }
        }
        return false;
    }

    @Test
    void theTornTailOfACrashIsNamedAndTheRestCanBeRead() throws IOException {
        Path record = Nights.unsealed(folder, "night", Nights.TECHNICIAN);
        long covered = Files.size(record.resolve("data/samples.csv"));
        Files.writeString(record.resolve("data/samples.csv"), "12,12", StandardOpenOption.APPEND);

        Verified verified = Verified.of(record);

        assertEquals("[NOT_SEALED]", failures(record).toString());
        Finding tail = verified.findings().stream()
                .filter(f -> f.code().equals("TAIL_UNCOVERED"))
                .findFirst()
                .orElseThrow();
        assertEquals("data/samples.csv", tail.place());
        assertEquals("5 bytes are behind the last checkpoint", tail.found());
        assertEquals(covered, new Checkpoints(record).last().samples().bytes());
    }

    @Test
    void aRecordChangedSinceItsLastCheckpointIsNotSealed() throws IOException {
        Path record = Nights.unsealed(folder, "night", Nights.TECHNICIAN);
        Path samples = record.resolve("data/samples.csv");
        Files.writeString(samples, Files.readString(samples).replace("28.400", "27.400"));

        RecordFault fault = assertThrows(
                RecordFault.class, () -> Sealing.seal(record, Nights.TECHNICIAN, Nights.SEALED, Nights.OUTCOME));

        assertEquals("data/samples.csv", fault.place());
        assertEquals("[FILE_CHANGED, NOT_SEALED]", failures(record).toString());
    }

    /** Until it is sealed, the checkpoints protect plan, fans, bench, samples, journal and themselves. */
    @Test
    void everyChangedByteOfAnUnsealedRecordsInputsIsFoundAndItsFileNamed() throws IOException {
        Path record = Nights.unsealed(folder, "night", Nights.TECHNICIAN);
        int tried = 0;
        for (String path : List.of(
                "data/plan.yaml",
                "data/fans.yaml",
                "data/bench.yaml",
                "data/samples.csv",
                "data/samples.csv-metadata.json",
                "data/journal.jsonl",
                "data/checkpoints.jsonl")) {
            byte[] bytes = Files.readAllBytes(record.resolve(path));
            for (int position = 0; position < bytes.length - 1; position += 97) {
                byte[] changed = Arrays.copyOf(bytes, bytes.length);
                changed[position] ^= 2;
                Files.write(record.resolve(path), changed);
                List<Finding> findings = Verified.of(record).findings();
                assertTrue(
                        findings.stream()
                                .anyMatch(f -> f.severity() == Severity.FAILURE
                                        && !f.code().equals("NOT_SEALED")
                                        && (f.place() + ":").startsWith(path + ":")),
                        path + " byte " + position + ": " + findings);
                tried++;
            }
            Files.write(record.resolve(path), bytes);
        }
        assertTrue(tried > 50, tried + " tried");
    }

    @Test
    void anUnfinishedLedgerLineIsWrittenOver() throws IOException {
        Nights.sealed(folder, "night", Nights.TECHNICIAN);
        Path ledger = folder.resolve("ledger.jsonl");
        byte[] bytes = Files.readAllBytes(ledger);
        Files.write(ledger, Arrays.copyOf(bytes, bytes.length - 10));
        List<RecordFault> torn = new ArrayList<>();
        assertEquals(1, new Ledger(folder).read(torn::add).size());
        assertEquals("ledger.jsonl:2", torn.get(0).place());

        Sealing.seal(folder.resolve("night"), Nights.TECHNICIAN, Nights.SEALED, Nights.OUTCOME);

        assertEquals(
                new String(bytes, StandardCharsets.UTF_8), Files.readString(ledger), "the same line is entered again");
    }

    @Test
    void aBrokenLedgerLetsNoRunBegin() throws IOException {
        Nights.sealed(folder, "night", Nights.TECHNICIAN);
        Path ledger = folder.resolve("ledger.jsonl");
        Files.writeString(ledger, Files.readString(ledger).replaceFirst("opened", "sealed"));
        RecordFault fault = assertThrows(
                RecordFault.class, () -> RecordWriter.open(folder, Nights.head("next"), Nights.TECHNICIAN));
        assertEquals("ledger.jsonl:2", fault.place());
        assertTrue(Files.notExists(folder.resolve("next")), "nothing was made");
    }
}
