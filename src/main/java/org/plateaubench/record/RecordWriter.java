package org.plateaubench.record;

import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicReference;
import org.plateaubench.clock.Deadline;
import org.plateaubench.sample.Sample;

/**
 * Writes a record to disk while a run goes on. Rows and lines wait in a bounded queue for a thread of their own that
 * appends and forces them, so that no storage holds up the run. With a simulated bench, time can wait instead: there a
 * full queue holds the run until there is room.
 *
 * <p>After the first error nothing more is written: what is on the disk has no gaps.
 */
public final class RecordWriter implements Recorder, Closeable {

    /** At ten samples a second this is 27 minutes; a lag is reported long before. */
    private static final int QUEUE_ITEMS = 1 << 14;

    private static final int BATCH_ITEMS = 1 << 10;
    private static final int BUFFER_BYTES = 1 << 16;
    private static final long LAG_MILLIS = 2_000;
    private static final long PATIENCE_SECONDS = 30;
    private static final int MOST_OF_ONE_NAME = 10_000;

    private final Path folder;
    private final String name;
    private final boolean simulated;
    private final SealingKey key;
    private final FileOps ops;
    private final long lagMillis;
    private final SampleLines rows;
    private final JournalLines lines = new JournalLines();

    private final Grown samples;
    private final Grown journal;
    private final Grown checkpoints;

    private final BlockingQueue<Work> queue = new ArrayBlockingQueue<>(QUEUE_ITEMS);
    private final Thread thread;
    private final AtomicReference<String> error = new AtomicReference<>("");
    private volatile Optional<Deadline> oldest = Optional.empty();
    private final Work end;
    private final Set<String> own = new TreeSet<>();
    private String toldOf = "";
    private boolean closed;

    /** Something to do on the writer's thread, when it is late, and who waits for it. */
    private record Work(Job job, Deadline due, CountDownLatch done) {}

    private interface Job {
        void run() throws IOException;
    }

    /**
     * Opens a record: makes its folder, writes what is known, and enters it in the ledger beside.
     *
     * @param recordsFolder the folder of records; made if it is not there
     * @param head what is known
     * @param key key that signs
     * @return the writer
     * @throws RecordFault if the ledger beside is broken
     * @throws IOException if it cannot be written
     */
    public static RecordWriter open(Path recordsFolder, RecordHead head, SealingKey key) throws IOException {
        return open(recordsFolder, head, key, new FileOps(), LAG_MILLIS);
    }

    static RecordWriter open(Path recordsFolder, RecordHead head, SealingKey key, FileOps ops, long lagMillis)
            throws IOException {
        Files.createDirectories(recordsFolder);
        new Ledger(recordsFolder, ops).requireWhole();
        RecordWriter writer =
                new RecordWriter(createFolder(recordsFolder, head.name(), ops), head, key, ops, lagMillis);
        try {
            writer.begin(head);
        } catch (IOException e) {
            writer.closeFiles();
            throw e;
        }
        return writer;
    }

    private static Path createFolder(Path recordsFolder, String wanted, FileOps ops) throws IOException {
        for (int i = 1; i < MOST_OF_ONE_NAME; i++) {
            Path folder = recordsFolder.resolve(i == 1 ? wanted : wanted + "-" + i);
            try {
                ops.createFolder(folder);
                return folder;
            } catch (FileAlreadyExistsException e) {
                // another run took this name; the next number is tried
            }
        }
        throw new FileAlreadyExistsException(recordsFolder.resolve(wanted).toString());
    }

    private RecordWriter(Path folder, RecordHead head, SealingKey key, FileOps ops, long lagMillis) throws IOException {
        this.folder = folder;
        this.name = folder.getFileName().toString();
        this.simulated = head.simulated();
        this.key = key;
        this.ops = ops;
        this.lagMillis = lagMillis;
        this.rows =
                new SampleLines(head.columns().stream().map(ColumnHead::name).toList(), head.stages());

        ops.createFolder(folder.resolve(RecordFolder.DATA));
        ops.createFolder(folder.resolve(RecordFolder.SIGNATURE_FOLDER));
        samples = new Grown(SampleLines.FILE);
        journal = new Grown(JournalLines.FILE);
        checkpoints = new Grown(Checkpoint.FILE);
        end = work(() -> {}, 1);
        thread = new Thread(this::work, "record-writer");
        thread.setDaemon(true);
    }

    /** Writes what is known, forces it, signs for it, and tells the ledger. */
    private void begin(RecordHead head) throws IOException {
        Map<String, String> hashes = new LinkedHashMap<>();
        for (Map.Entry<String, byte[]> file : head.files().entrySet()) {
            String path = RecordFolder.DATA + "/" + file.getKey();
            ops.write(folder.resolve(path), file.getValue());
            hashes.put(path, Sha256.of(file.getValue()));
        }
        byte[] metadata = new SamplesMetadata(head.columns(), head.stages()).bytes();
        ops.write(folder.resolve(SamplesMetadata.FILE), metadata);
        hashes.put(SamplesMetadata.FILE, Sha256.of(metadata));
        own.addAll(hashes.keySet());
        own.addAll(List.of(SampleLines.FILE, JournalLines.FILE, Checkpoint.FILE));
        ops.write(folder.resolve(Bag.BAGIT), Bag.BAGIT_LINES.getBytes(StandardCharsets.US_ASCII));
        ops.write(folder.resolve(BagInfo.FILE), BagInfo.opening(head, name).bytes());
        ops.write(folder.resolve(RecordFolder.SIGNER), key.signer().pem().getBytes(StandardCharsets.US_ASCII));
        samples.append(rows.header().getBytes(StandardCharsets.US_ASCII));
        samples.force();
        byte[] opening =
                new Checkpoint(name, simulated, head.utc(), samples.extent(), journal.extent(), hashes).line(key);
        checkpoints.append(opening);
        checkpoints.force();
        for (String each : List.of(RecordFolder.DATA, RecordFolder.SIGNATURE_FOLDER, ".", "..")) {
            ops.forceFolder(folder.resolve(each));
        }
        new Ledger(folder.toAbsolutePath().getParent(), ops)
                .enter(
                        new Ledger.Entry(
                                Ledger.Event.OPENED,
                                name,
                                simulated,
                                head.utc(),
                                Checkpoint.FILE,
                                Sha256.of(opening),
                                ""),
                        key);
        thread.start();
    }

    /** {@return the record's folder} */
    public Path folder() {
        return folder;
    }

    /** {@return the record's name, which is its folder's} */
    public String name() {
        return name;
    }

    @Override
    public synchronized void sample(Sample sample, String utc, String stage, String pass) {
        byte[] row = rows.row(sample, utc, stage, pass).getBytes(StandardCharsets.US_ASCII);
        add(() -> samples.append(row));
    }

    @Override
    public synchronized void journal(Map<String, Object> fields) {
        byte[] line = lines.next(fields);
        add(() -> journal.append(line));
    }

    /**
     * Forces everything recorded so far to the disk and signs for it. The run calls it every 10 s.
     *
     * @param utc wall-clock time, ISO 8601 with milliseconds and Z
     */
    public synchronized void checkpoint(String utc) {
        add(() -> {
            samples.force();
            journal.force();
            checkpoints.append(
                    new Checkpoint(name, simulated, utc, samples.extent(), journal.extent(), Map.of()).line(key));
            checkpoints.force();
        });
    }

    /**
     * Adds a file under data, whole and forced: results, provenance. A file of the same name is replaced.
     *
     * @param fileName flat name, such as "results.json"
     * @param bytes its bytes
     * @throws IllegalArgumentException if the name is not flat, or the recorder's own
     * @throws IOException if it cannot be written
     */
    public void file(String fileName, byte[] bytes) throws IOException {
        ops.writeWhole(path(fileName), bytes);
    }

    /**
     * Where a file under data lies that something else writes before the record is sealed, such as a load's output.
     *
     * @param fileName flat name, such as "load-1.log"
     * @return its path; nothing is made there
     * @throws IllegalArgumentException if the name is not flat, or the recorder's own
     */
    public Path path(String fileName) {
        String path = RecordFolder.DATA + "/" + RecordHead.requireFlat(fileName);
        if (own.contains(path)) {
            throw new IllegalArgumentException("'" + path + "' is written by the recorder alone");
        }
        return folder.resolve(path);
    }

    @Override
    public synchronized Optional<String> storageFault() {
        String fault = error.get().isEmpty() ? lag() : error.get();
        boolean told = fault.equals(toldOf);
        toldOf = fault;
        return told || fault.isEmpty() ? Optional.empty() : Optional.of(fault);
    }

    private String lag() {
        Optional<Deadline> waiting =
                oldest.or(() -> Optional.ofNullable(queue.peek()).map(Work::due));
        return !simulated && waiting.filter(Deadline::passed).isPresent()
                ? "the record is more than " + lagMillis / 1000 + " s behind: the storage does not take what is written"
                : "";
    }

    private void add(Job job) {
        if (!closed && error.get().isEmpty()) {
            add(work(job, 0), simulated ? PATIENCE_SECONDS : 0);
        }
    }

    private Work work(Job job, int waiting) {
        return new Work(job, Deadline.afterMillis(lagMillis), new CountDownLatch(waiting));
    }

    private void add(Work work, long seconds) {
        try {
            if (!queue.offer(work, seconds, TimeUnit.SECONDS)) {
                fail("the record is " + QUEUE_ITEMS + " rows and lines behind: nothing more is recorded");
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            fail("the run was interrupted while it waited for the storage: nothing more is recorded");
        }
    }

    private void fail(String what) {
        error.compareAndSet("", what);
    }

    /** The writer's thread: takes what there is, writes all of it, then forces it. After an error it only takes. */
    private void work() {
        List<Work> batch = new ArrayList<>(BATCH_ITEMS);
        while (!batch.contains(end)) {
            batch.clear();
            try {
                batch.add(queue.take());
                oldest = Optional.of(batch.get(0).due());
                queue.drainTo(batch, BATCH_ITEMS);
                for (Work work : batch) {
                    if (error.get().isEmpty()) {
                        work.job().run();
                    }
                }
                if (error.get().isEmpty()) {
                    samples.force();
                    journal.force();
                }
            } catch (IOException | RuntimeException e) {
                fail("the record cannot be written: " + e);
            } catch (InterruptedException e) {
                fail("the thread that writes the record was interrupted");
            }
            oldest = Optional.empty();
            batch.forEach(work -> work.done().countDown());
        }
    }

    /**
     * Waits until everything recorded so far is on the disk, half a minute at the most.
     *
     * @throws IOException if it is not
     */
    public synchronized void flush() throws IOException {
        if (!closed) {
            await(work(() -> {}, 1));
        }
        throwError();
    }

    /**
     * Ends the writing; what is recorded so far is on the disk then, and the record is not sealed.
     *
     * @throws IOException if something recorded is not on the disk
     */
    @Override
    public synchronized void close() throws IOException {
        if (!closed) {
            closed = true;
            await(end);
            closeFiles();
        }
        throwError();
    }

    private void closeFiles() throws IOException {
        for (Grown file : List.of(samples, journal, checkpoints)) {
            file.out.close();
        }
    }

    private void await(Work work) {
        add(work, PATIENCE_SECONDS);
        try {
            if (!work.done().await(PATIENCE_SECONDS, TimeUnit.SECONDS)) {
                fail("the storage has not taken the record within " + PATIENCE_SECONDS + " s");
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            fail("interrupted while the storage took the record");
        }
    }

    private void throwError() throws IOException {
        if (!error.get().isEmpty()) {
            throw new IOException(error.get());
        }
    }

    /**
     * Ends the writing and seals the record, see {@link Sealing}. May be repeated after an error.
     *
     * @param utc wall-clock time, ISO 8601 with milliseconds and Z
     * @param info more entries for bag-info.txt, in order, such as how the run ended
     * @return what it left
     * @throws IOException if not everything recorded is on the disk, or the sealing cannot be written; the record is kept
     */
    public synchronized Sealing.Sealed seal(String utc, Map<String, String> info) throws IOException {
        checkpoint(utc);
        close();
        return Sealing.seal(folder, key, utc, info, ops);
    }

    /** A file of lines that only grows, and the hash of what it holds. */
    private final class Grown {

        private final FileOps.Growing out;
        private final MessageDigest digest = Sha256.digest();
        private final ByteArrayOutputStream waiting = new ByteArrayOutputStream(BUFFER_BYTES);
        private long bytes;
        private long forcedBytes;

        Grown(String path) throws IOException {
            out = ops.grow(folder.resolve(path));
        }

        void append(byte[] line) throws IOException {
            waiting.writeBytes(line);
            waiting.write('\n');
            if (waiting.size() >= BUFFER_BYTES) {
                drain();
            }
        }

        private void drain() throws IOException {
            byte[] drained = waiting.toByteArray();
            waiting.reset();
            out.append(drained);
            digest.update(drained);
            bytes += drained.length;
        }

        /** Puts what waits on the disk. */
        void force() throws IOException {
            if (waiting.size() > 0) {
                drain();
            }
            if (bytes > forcedBytes) {
                out.force();
                forcedBytes = bytes;
            }
        }

        /** What is in the file, not counting what waits. */
        Checkpoint.Extent extent() {
            return new Checkpoint.Extent(bytes, Sha256.soFar(digest));
        }
    }
}
