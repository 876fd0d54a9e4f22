package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;

class RecordWriterTest {

    @TempDir
    Path records;

    @Test
    void givesBackWhatWasRecorded() throws IOException {
        try (RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN)) {
            MemoryRecord memory = new MemoryRecord(Nights.head("night").files());
            memory.journal(Nights.head("night").header());
            for (int tick = 0; tick < 40; tick++) {
                RecordedNight.Row row = Nights.row(tick);
                writer.sample(row.sample(), row.utc(), row.stage(), row.pass());
                memory.sample(row.sample(), row.utc(), row.stage(), row.pass());
                writer.journal(Nights.line(tick));
                memory.journal(Nights.line(tick));
            }
            writer.flush();

            RecordFolder read = RecordFolder.open(writer.folder());
            List<RecordedNight.Row> rows = new ArrayList<>();
            read.samples(rows::add);
            assertEquals(IntStream.range(0, 40).mapToObj(Nights::row).toList(), rows);
            assertEquals(memory.journal(), read.journal());
            assertArrayEquals(memory.file("bench.yaml"), read.file("bench.yaml"));
            assertEquals(Nights.head("night").columns(), read.columns());
            assertEquals(Nights.head("night").stages(), read.stages());
            assertEquals("night", read.name());
            assertTrue(read.simulated());
            assertFalse(read.sealed());
            assertEquals(Optional.empty(), writer.storageFault());
        }
    }

    @Test
    void samplesAreOneRowATickAndNameOnlyReadingsThatAreNotGood() throws IOException {
        Path record = Nights.sealed(records, "night", Nights.TECHNICIAN);

        List<String> lines = Files.readAllLines(record.resolve("data/samples.csv"));

        assertEquals("tick,offset_ms,missed,utc,stage,pass,ambient,coolant,fan-1,quality", lines.get(0));
        assertEquals("0,3,0,2026-11-24T22:10:00.000Z,baseline,,22.050,28.400,900.0,", lines.get(1));
        assertEquals(
                "3,3003,0,2026-11-24T22:10:03.000Z,soak,900-rpm.1,22.050,,,coolant=missing;fan-1=gone", lines.get(4));
        assertEquals(
                "4,4003,0,2026-11-24T22:10:04.000Z,soak,900-rpm.1,22.050,28.440,904.0,fan-1=out-of-range",
                lines.get(5));
    }

    @Test
    void sameInputsGiveTheSameBytes() throws IOException {
        Path one = Nights.sealed(records.resolve("1"), "night", Nights.TECHNICIAN);
        Path two = Nights.sealed(records.resolve("2"), "night", Nights.TECHNICIAN);

        Map<String, String> hashes = hashes(one.getParent());
        assertEquals(17, hashes.size(), hashes.toString());
        assertEquals(hashes, hashes(two.getParent()));
    }

    private static Map<String, String> hashes(Path folder) throws IOException {
        Map<String, String> hashes = new LinkedHashMap<>();
        for (String path : FolderTree.of(folder, finding -> {}).files().keySet()) {
            hashes.put(path, Sha256.of(folder.resolve(path)));
        }
        return hashes;
    }

    @Test
    void aSecondRecordOfTheSameNameGetsANumber() throws IOException {
        Nights.sealed(records, "night", Nights.TECHNICIAN);
        Path second = Nights.sealed(records, "night", Nights.TECHNICIAN);

        assertEquals(records.resolve("night-2"), second);
        assertEquals("night-2", RecordFolder.open(second).name());
    }

    @Test
    void namesSayWhenOnWhichBenchAndWithWhichFans() {
        assertEquals(
                "20261124-221003-example-loop-a", RecordHead.name("2026-11-24T22:10:03.000Z", "Example loop", "A"));
    }

    @Test
    void sha256sumAndOpensslAgree() throws Exception {
        Wants.program("sha256sum");
        Wants.program("openssl");
        Path record = Nights.sealed(records, "night", Nights.TECHNICIAN);

        for (String manifest : List.of("manifest-sha256.txt", "tagmanifest-sha256.txt")) {
            Tool.Answer sums = Tool.run(record, "sha256sum", "--strict", "-c", manifest);
            assertEquals(0, sums.exit(), sums.text());
        }
        Tool.Answer good = Tool.verifySeal(record);
        assertEquals(0, good.exit(), good.text());

        Files.writeString(record.resolve("tagmanifest-sha256.txt"), "\n");
        assertEquals(1, Tool.verifySeal(record).exit());
    }

    @Test
    void theStorageNeverHoldsUpTheRun() throws Exception {
        CountDownLatch begun = new CountDownLatch(1);
        CountDownLatch stuck = new CountDownLatch(1);
        FileOps slow = new FileOps() {
            @Override
            Growing grow(Path file) throws IOException {
                return new Through(super.grow(file)) {
                    @Override
                    public void append(byte[] bytes) throws IOException {
                        if (Thread.currentThread().getName().equals("record-writer")) {
                            begun.countDown();
                            awaitIt(stuck);
                        }
                        super.append(bytes);
                    }
                };
            }
        };
        RecordWriter writer = RecordWriter.open(records, measured("night"), Nights.TECHNICIAN, slow, 0);
        Nights.fill(writer, 1, 5);
        begun.await();
        String lag = writer.storageFault().orElse("no fault");
        assertEquals("the record is more than 0 s behind: the storage does not take what is written", lag);
        assertEquals(Optional.empty(), writer.storageFault(), "told once");
        Nights.fill(writer, 40_000, 600);
        String full = writer.storageFault().orElse("no fault");
        assertEquals("the record is 16384 rows and lines behind: nothing more is recorded", full);
        stuck.countDown();
        assertThrows(IOException.class, writer::close);
        assertThrows(IOException.class, () -> writer.seal(Nights.SEALED, Map.of()));
    }

    /** A growing file as it is. */
    private static class Through implements FileOps.Growing {

        private final FileOps.Growing real;

        Through(FileOps.Growing real) {
            this.real = real;
        }

        @Override
        public void append(byte[] bytes) throws IOException {
            real.append(bytes);
        }

        @Override
        public void force() throws IOException {
            real.force();
        }

        @Override
        public void close() throws IOException {
            real.close();
        }
    }

    private static void awaitIt(CountDownLatch latch) throws IOException {
        try {
            latch.await();
        } catch (InterruptedException e) {
            throw new IOException(e);
        }
    }

    private static RecordHead measured(String name) {
        RecordHead head = Nights.head(name);
        return new RecordHead(
                name, head.utc(), head.agent(), false, head.files(), head.columns(), head.stages(), head.header());
    }

    @Test
    void aSimulatedNightIsRecordedWholeHoweverFastItRuns() throws IOException {
        try (RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN)) {
            Nights.fill(writer, 60_000, 600);
            writer.seal(Nights.SEALED, Map.of());
            long[] rows = {0};
            RecordFolder.open(writer.folder()).samples(row -> rows[0]++);
            assertEquals(60_000, rows[0]);
            assertEquals(Optional.empty(), writer.storageFault());
        }
    }

    @Test
    void aFullDiskIsAFaultAndLeavesNoGap() throws IOException {
        long[] room = {2_000};
        FileOps full = new FileOps() {
            @Override
            Growing grow(Path file) throws IOException {
                return new Through(super.grow(file)) {
                    @Override
                    public void append(byte[] bytes) throws IOException {
                        if (file.endsWith("samples.csv") && (room[0] -= bytes.length) < 0) {
                            super.append(Arrays.copyOf(bytes, bytes.length / 2));
                            throw new IOException("No space left on device");
                        }
                        super.append(bytes);
                    }
                };
            }
        };
        RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN, full, 2_000);
        Nights.fill(writer, 200, 5);
        assertThrows(IOException.class, writer::flush);

        assertEquals(Optional.of("No space left on device"), writer.storageFault());
        assertThrows(IOException.class, () -> writer.seal(Nights.SEALED, Map.of()));
        List<RecordedNight.Row> rows = new ArrayList<>();
        RecordFolder read = RecordFolder.open(writer.folder());
        RecordFault torn = assertThrows(RecordFault.class, () -> read.samples(rows::add));
        assertTrue(torn.found().startsWith("the last row is unfinished"), torn.found());
        assertEquals(IntStream.range(0, rows.size()).mapToObj(Nights::row).toList(), rows);
    }

    @Test
    void namesOfTheRecorderAndNamesThatAreNotFlatAreRefused() throws IOException {
        try (RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN)) {
            for (String name : List.of(
                    "samples.csv", "plan.yaml", "../x", "a/b", "Upper", "", ".hidden", "x.tmp", "checkpoints.jsonl")) {
                assertThrows(IllegalArgumentException.class, () -> writer.file(name, new byte[0]), name);
            }
            assertEquals(writer.folder().resolve("data/load-1.log"), writer.path("load-1.log"));
        }
    }

    @Test
    void whatHasNoPlaceInARowIsRefused() throws IOException {
        try (RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN)) {
            RecordedNight.Row row = Nights.row(5);
            assertThrows(
                    IllegalArgumentException.class,
                    () -> writer.sample(row.sample(), row.utc(), "unknown stage", row.pass()));
            assertThrows(
                    IllegalArgumentException.class, () -> writer.sample(row.sample(), row.utc(), row.stage(), "a,b"));
            assertThrows(
                    IllegalArgumentException.class,
                    () -> writer.sample(row.sample(), row.utc() + "\n", row.stage(), row.pass()));
            assertThrows(IllegalArgumentException.class, () -> writer.journal(Map.of("seq", 1)));
        }
    }

    @Test
    void anInterruptedRunIsRecordedAndSealedAllTheSame() throws IOException {
        RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN);
        Thread.currentThread().interrupt();
        try {
            Nights.fill(writer, 6, 5);
            writer.flush();
            writer.file("results.json", new byte[0]);
            writer.seal(Nights.SEALED, Map.of());
            assertTrue(Thread.currentThread().isInterrupted(), "the interrupt is still there");
        } finally {
            Thread.interrupted();
        }
        assertEquals(List.of(), Verified.of(writer.folder()).findings());
        assertEquals(3, RecordFolder.open(writer.folder()).journal().size());
    }

    @Test
    void recordingAfterTheEndIsIgnored() throws IOException {
        RecordWriter writer = RecordWriter.open(records, Nights.head("night"), Nights.TECHNICIAN);
        Nights.fill(writer, 6, 5);
        writer.seal(Nights.SEALED, Map.of());
        byte[] samples = Files.readAllBytes(writer.folder().resolve("data/samples.csv"));

        Nights.fill(writer, 6, 5);
        writer.close();

        assertArrayEquals(samples, Files.readAllBytes(writer.folder().resolve("data/samples.csv")));
    }
}
