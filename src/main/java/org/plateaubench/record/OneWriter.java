package org.plateaubench.record;

import java.io.Closeable;
import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.concurrent.locks.ReentrantLock;
import org.plateaubench.clock.Deadline;
import org.plateaubench.units.Decimals;

/**
 * Lets one writer at a time at what lies beside a lock file: the lock keeps other programs out, and as a program holds it
 * as a whole, another one keeps out its other threads.
 */
final class OneWriter implements Closeable {

    /** How long another writer may take, ms. */
    static final long PATIENCE_MILLIS = 10_000;

    private static final long POLL_MILLIS = 20;
    private static final ReentrantLock IN_THIS_PROGRAM = new ReentrantLock();

    private final FileChannel channel;

    private OneWriter(FileChannel channel) {
        this.channel = channel;
    }

    /**
     * Waits for its turn, which lasts until {@link #close()}.
     *
     * @param lockFile the lock file; made if it is not there, its folder is
     * @param patienceMillis how long to wait for another program, ms
     * @return the turn
     * @throws IOException if the lock file cannot be used, or another program holds it for longer
     */
    static OneWriter at(Path lockFile, long patienceMillis) throws IOException {
        IN_THIS_PROGRAM.lock();
        FileChannel channel = null;
        boolean locked = false;
        try {
            channel = FileChannel.open(lockFile, StandardOpenOption.CREATE, StandardOpenOption.WRITE);
            Deadline patience = Deadline.afterMillis(patienceMillis);
            while (channel.tryLock() == null) {
                if (patience.passed()) {
                    throw new IOException("another program has held " + lockFile + " for "
                            + Decimals.shortest(patienceMillis / 1000.0, 1) + " s");
                }
                Deadline.afterMillis(POLL_MILLIS).await();
            }
            locked = true;
            return new OneWriter(channel);
        } finally {
            if (!locked) {
                IN_THIS_PROGRAM.unlock();
                if (channel != null) {
                    channel.close();
                }
            }
        }
    }

    /** Ends the turn. */
    @Override
    public void close() throws IOException {
        try {
            channel.close();
        } finally {
            IN_THIS_PROGRAM.unlock();
        }
    }
}
