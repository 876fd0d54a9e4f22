package org.plateaubench.record;

import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.util.ArrayList;
import java.util.Arrays;
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
import java.util.function.Predicate;
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
    /** Nothing of a run reads this file, see {@link FileOps#lock}. */
    private static final String LOCKED = Bag.BAGIT;

    private final Path folder;
    private final String name;
    private final boolean simulated;
    private final SealingKey key;
    private final FileOps ops;
    private final long lagMillis;
    private final Closeable lock;
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
    private final List<SetAside> setAside;
    private String toldOf = "";
    private boolean thrown;
    private boolean closed;

    /** Something to do on the writer's thread, when it is late, and who waits for it. */
    private record Work(Job job, Deadline due, CountDownLatch done) {}

    private interface Job {
        void run() throws IOException;
    }

    /**
     * What a crash left behind the last checkpoint of one file, kept in a file of its own.
     *
     * @param file name of that file under data, such as "torn-1-samples.csv"
     * @param bytes its length
     * @param sha256 its hash
     */
    public record SetAside(String file, long bytes, String sha256) {}

    /**
     * Opens a record: makes its folder with what is known in it, and enters it in the ledger beside.
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
        Path folder = Opening.make(recordsFolder, head, key, ops);
        return reopen(folder, key, head.utc(), key.signer()::equals, ops, lagMillis);
    }

    /**
     * Goes on with a record that is not sealed, behind its last checkpoint. What is there behind it in a file, left by a
     * crash, is kept in a file of its own first. The ledger is told of the record if it was not.
     *
     * @param record the record's folder
     * @param key key that signs from now on; it need not be the one that signed so far
     * @param utc wall-clock time, ISO 8601 with milliseconds and Z
     * @param believed whose checkpoints are believed
     * @return the writer
     * @throws RecordFault if the record is sealed or just being written, its checkpoints are not believed, or anything was
     *     changed that they stand for; then nothing was written
     * @throws IOException if it cannot be read or written
     */
    public static RecordWriter reopen(Path record, SealingKey key, String utc, Predicate<SignerKey> believed)
            throws IOException {
        return reopen(record, key, utc, believed, new FileOps(), LAG_MILLIS);
    }

    static RecordWriter reopen(
            Path record, SealingKey key, String utc, Predicate<SignerKey> believed, FileOps ops, long lagMillis)
            throws IOException {
        Closeable lock = ops.lock(record.resolve(LOCKED), LOCKED);
        try {
            RecordFolder folder = RecordFolder.open(record);
            Checkpoints checkpoints = verified(folder, believed);
            RecordWriter writer = new RecordWriter(folder, checkpoints, key, ops, lagMillis, lock);
            new Ledger(record.toAbsolutePath().getParent(), ops)
                    .enter(
                            new Ledger.Entry(
                                    Ledger.Event.OPENED,
                                    folder.name(),
                                    folder.simulated(),
                                    utc,
                                    Checkpoint.FILE,
                                    checkpoints.openingSha256(),
                                    ""),
                            key);
            writer.thread.start();
            return writer;
        } catch (IOException | RuntimeException e) {
            lock.close();
            throw e;
        }
    }

    /**
     * Tells whether a record is just being written.
     *
     * @param record the record's folder
     * @return true if a program is writing it
     * @throws IOException if it is no record, or may not be looked at
     */
    public static boolean writing(Path record) throws IOException {
        try {
            new FileOps().lock(record.resolve(LOCKED), LOCKED).close();
            return false;
        } catch (RecordFault e) {
            return true;
        }
    }

    private static Checkpoints verified(RecordFolder folder, Predicate<SignerKey> believed) throws IOException {
        if (folder.sealed()) {
            throw new RecordFault(RecordFolder.SIGNATURE, "the record is sealed; nothing is written to it any more");
        }
        Checkpoints checkpoints = new Checkpoints(folder.folder());
        checkpoints.verifyAll();
        for (SignerKey signer : checkpoints.signers()) {
            if (!believed.test(signer)) {
                throw new RecordFault(
                        Checkpoint.FILE, "nobody vouches for the key " + signer.fingerprint() + " that signed it");
            }
        }
        Optional<RecordFault> difference = checkpoints.firstDifference();
        if (difference.isPresent()) {
            throw difference.get();
        }
        Checkpoint last = checkpoints.last();
        if (!last.record().equals(folder.name()) || last.simulated() != folder.simulated()) {
            throw new RecordFault(BagInfo.FILE, "it contradicts the checkpoints");
        }
        return checkpoints;
    }

    private RecordWriter(
            RecordFolder record, Checkpoints checkpointed, SealingKey key, FileOps ops, long lagMillis, Closeable lock)
            throws IOException {
        this.folder = record.folder();
        this.name = record.name();
        this.simulated = record.simulated();
        this.key = key;
        this.ops = ops;
        this.lagMillis = lagMillis;
        this.lock = lock;
        this.rows = record.sampleLines();
        own.addAll(checkpointed.opening().files().keySet());
        own.addAll(List.of(SampleLines.FILE, JournalLines.FILE, Checkpoint.FILE));

        Checkpoint last = checkpointed.last();
        TornTails tails = new TornTails(folder, ops);
        tails.cut(SampleLines.FILE, last.samples().bytes());
        tails.cut(JournalLines.FILE, last.journal().bytes());
        tails.cut(Checkpoint.FILE, checkpointed.bytes());
        this.setAside = tails.all();
        Lines.each(
                folder.resolve(JournalLines.FILE),
                JournalLines.FILE,
                (buffer, from, to) -> lines.check(Arrays.copyOfRange(buffer, from, to)));
        samples = new Grown(SampleLines.FILE);
        journal = new Grown(JournalLines.FILE);
        checkpoints = new Grown(Checkpoint.FILE);
        end = work(() -> {}, 1);
        thread = new Thread(this::work, "record-writer");
        thread.setDaemon(true);
    }

    /** {@return every torn tail that is kept in the record, of this crash and of earlier ones, in order of their names} */
    public List<SetAside> setAside() {
        return setAside;
    }

    /** {@return the record's folder} */
    public Path folder() {
        return folder;
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
        Path file = path(fileName);
        uninterrupted(() -> ops.writeWhole(file, bytes));
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
            // The first try never looks at the thread's interrupt: an interrupted run is recorded to its end.
            if (!queue.offer(work) && !queue.offer(work, seconds, TimeUnit.SECONDS)) {
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
                fail(e instanceof IOException ? e.getMessage() : e.toString());
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
            uninterrupted(() -> await(work(() -> {}, 1)));
        }
        throwError();
    }

    /**
     * Ends the writing; what is recorded so far is on the disk then, and the record is not sealed.
     *
     * @throws IOException if something recorded is not on the disk, unless that was thrown before
     */
    @Override
    public synchronized void close() throws IOException {
        endWriting();
        lock.close();
        if (!thrown) {
            throwError();
        }
    }

    private void endWriting() throws IOException {
        if (!closed) {
            closed = true;
            uninterrupted(() -> {
                await(end);
                for (Grown file : List.of(samples, journal, checkpoints)) {
                    file.out.close();
                }
            });
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
            thrown = true;
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
        endWriting();
        throwError();
        List<Sealing.Sealed> sealed = new ArrayList<>();
        uninterrupted(() -> sealed.add(Sealing.seal(folder, key, utc, info, ops)));
        return sealed.get(0);
    }

    /** Puts the thread's interrupt off: an interrupted thread can neither wait nor write to a file. */
    private static void uninterrupted(Job job) throws IOException {
        boolean interrupted = Thread.interrupted();
        try {
            job.run();
        } finally {
            if (interrupted) {
                Thread.currentThread().interrupt();
            }
        }
    }

    /** A file of lines that only grows, and the hash of what it holds. */
    private final class Grown {

        private final FileOps.Growing out;
        private final MessageDigest digest = Sha256.digest();
        private final ByteArrayOutputStream waiting = new ByteArrayOutputStream(BUFFER_BYTES);
        private long bytes;
        private long forcedBytes;

        Grown(String path) throws IOException {
            bytes = Sha256.feed(digest, folder.resolve(path));
            forcedBytes = bytes;
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
