package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.Predicate;

/**
 * Storage that fails at one of its operations, once or from then on, or because the program is over. Forcing rows is not
 * counted: how often the writer's thread does so is a matter of real time.
 */
public final class HostileStorage {

    /** How it fails. */
    public enum Kind {
        /** It does not. */
        NEVER,
        /** One operation fails, and the next one works again. */
        ONCE,
        /** Nothing more can be written; what is there can be read, moved and deleted. */
        FULL,
        /** The power is cut in the middle of an operation. */
        CUT
    }

    private static final String APPENDING = "appending";

    private final Kind kind;
    private final int failing;
    private final AtomicInteger begun = new AtomicInteger();
    private volatile boolean over;
    private volatile String struck = "";
    private volatile RecordWriter writer;
    private final FileOps ops = new Ops();

    /**
     * Storage.
     *
     * @param kind how it fails
     * @param failing at which operation, from 0
     */
    public HostileStorage(Kind kind, int failing) {
        this.kind = kind;
        this.failing = failing;
    }

    /** {@return true once it has failed} */
    public boolean failed() {
        return over || kind != Kind.NEVER && begun.get() > failing;
    }

    /** {@return how it failed, and in which kind of operation; empty as long as it did not} */
    public String struck() {
        return struck;
    }

    /** The program is killed: nothing more is done. */
    public void kill() {
        over = true;
    }

    /** {@return true once the program is over} */
    public boolean over() {
        return over;
    }

    /** Opens a record on it, see {@link RecordWriter#open}. */
    public RecordWriter open(Path folder, RecordHead head, SealingKey key) throws IOException {
        writer = RecordWriter.open(folder, head, key, ops, 2_000);
        return writer;
    }

    /** Goes on with a record on it, see {@link RecordWriter#reopen}. */
    public RecordWriter reopen(Path record, SealingKey key, String utc, Predicate<SignerKey> believed)
            throws IOException {
        writer = RecordWriter.reopen(record, key, utc, believed, ops, 2_000);
        return writer;
    }

    /** Waits until everything recorded so far is written or has failed, so that the same night fails at the same tick. */
    public void settle() {
        try {
            writer.flush();
        } catch (IOException e) {
            // The night will hear of it.
        }
    }

    /** A third of the failures strikes when rows are forced. */
    private void forceRows(Op force) throws IOException {
        if (over) {
            throw new IOException("the program is over");
        }
        if (failing % 3 == 2
                && begun.get() > failing
                && kind != Kind.NEVER
                && (struck.isEmpty() || kind == Kind.FULL)) {
            over = kind == Kind.CUT;
            strike(kind == Kind.CUT ? "power cut" : kind == Kind.FULL ? "disk full" : "error", "forcing rows");
            throw new IOException("rows could not be forced");
        }
        force.run();
    }

    private interface Op {
        void run() throws IOException;
    }

    private void strike(String how, String operation) {
        struck = struck.isEmpty() ? how + " in " + operation : struck;
    }

    private void step(String operation, boolean writes, Op whole, Op half) throws IOException {
        if (operation.equals(APPENDING) && failing % 3 == 2) {
            begun.getAndIncrement();
            if (over) {
                throw new IOException("the program is over");
            }
            whole.run();
            return;
        }
        int number = begun.getAndIncrement();
        if (over) {
            throw new IOException("the program is over");
        }
        if (kind == Kind.CUT && number == failing) {
            over = true;
            strike("power cut", operation);
            half.run();
            throw new IOException("the power was cut in operation " + number);
        }
        if (kind == Kind.ONCE && number == failing) {
            strike("error", operation);
            throw new IOException("input/output error in operation " + number);
        }
        if (kind == Kind.FULL && number >= failing && writes) {
            strike("disk full", operation);
            throw new IOException("no space left on device");
        }
        whole.run();
    }

    private final class Ops extends QuickOps {

        @Override
        void createFolder(Path folder) throws IOException {
            step("creating a folder", true, () -> super.createFolder(folder), () -> {});
        }

        @Override
        void write(Path file, byte[] bytes) throws IOException {
            step(
                    "writing a file",
                    true,
                    () -> super.write(file, bytes),
                    () -> super.write(file, Arrays.copyOf(bytes, bytes.length / 2)));
        }

        @Override
        void writeAt(Path file, long length, byte[] bytes) throws IOException {
            step(
                    "mending a file",
                    true,
                    () -> super.writeAt(file, length, bytes),
                    () -> super.writeAt(file, length, Arrays.copyOf(bytes, bytes.length / 2)));
        }

        @Override
        Growing grow(Path file) throws IOException {
            Growing real = super.grow(file);
            return new Growing() {
                @Override
                public void append(byte[] bytes) throws IOException {
                    step(
                            APPENDING,
                            true,
                            () -> real.append(bytes),
                            // What a power cut leaves: half of it, and a stretch that was never written.
                            () -> {
                                real.append(Arrays.copyOf(bytes, bytes.length / 2));
                                real.append(new byte[Math.min(64, bytes.length / 4)]);
                            });
                }

                @Override
                public void force() throws IOException {
                    forceRows(real::force);
                }

                @Override
                public void close() throws IOException {
                    real.close();
                }
            };
        }

        @Override
        void force(Path file) throws IOException {
            step("forcing a file", false, () -> super.force(file), () -> {});
        }

        @Override
        void move(Path from, Path to) throws IOException {
            step("moving", false, () -> super.move(from, to), () -> {});
        }

        @Override
        void delete(Path file) throws IOException {
            step("deleting", false, () -> super.delete(file), () -> {});
        }

        @Override
        void forceFolder(Path folder) throws IOException {
            step("forcing a folder", false, () -> super.forceFolder(folder), () -> {});
        }
    }
}
