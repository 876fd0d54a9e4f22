package org.plateaubench.record;

import java.io.Closeable;
import java.io.File;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.channels.OverlappingFileLockException;
import java.nio.file.AccessDeniedException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import org.plateaubench.units.Decimals;

/**
 * The operations that change files of a record, in one place: a test lets each of them fail. Forced means on the disk. An
 * error names its file, and how much room there is.
 */
class FileOps {

    /** What an unfinished file is called: its name and this. None outlives a sealing. */
    static final String UNFINISHED = ".tmp";

    /** A file that only grows. */
    interface Growing extends Closeable {
        void append(byte[] bytes) throws IOException;

        void force() throws IOException;
    }

    void createFolder(Path folder) throws IOException {
        Files.createDirectory(folder);
    }

    /** Writes a whole file, forced; it may exist. */
    void write(Path file, byte[] bytes) throws IOException {
        try (FileChannel channel = FileChannel.open(
                file,
                StandardOpenOption.CREATE,
                StandardOpenOption.WRITE,
                StandardOpenOption.TRUNCATE_EXISTING,
                LinkOption.NOFOLLOW_LINKS)) {
            writeAll(file, channel, bytes);
            force(file, channel, true);
        }
    }

    /** Cuts a file, or makes it, to a length and writes behind it, forced. */
    void writeAt(Path file, long length, byte[] bytes) throws IOException {
        try (FileChannel channel = FileChannel.open(
                file, StandardOpenOption.CREATE, StandardOpenOption.WRITE, LinkOption.NOFOLLOW_LINKS)) {
            channel.truncate(length);
            channel.position(length);
            writeAll(file, channel, bytes);
            force(file, channel, true);
        }
    }

    Growing grow(Path file) throws IOException {
        FileChannel channel = FileChannel.open(
                file,
                StandardOpenOption.CREATE,
                StandardOpenOption.WRITE,
                StandardOpenOption.APPEND,
                LinkOption.NOFOLLOW_LINKS);
        return new Growing() {
            @Override
            public void append(byte[] bytes) throws IOException {
                writeAll(file, channel, bytes);
            }

            @Override
            public void force() throws IOException {
                FileOps.force(file, channel, false);
            }

            @Override
            public void close() throws IOException {
                channel.close();
            }
        };
    }

    /**
     * Takes a file for this program alone, until what is returned is closed or the program is over, however it ends. The
     * file can still be read. Nothing else in this program may open and close it meanwhile: that would end it.
     *
     * @throws RecordFault if somebody has it
     */
    Closeable lock(Path file, String place) throws IOException {
        FileChannel channel = FileChannel.open(file, StandardOpenOption.WRITE, LinkOption.NOFOLLOW_LINKS);
        try {
            if (channel.tryLock(Long.MAX_VALUE - 1, 1, false) != null) {
                return channel;
            }
        } catch (OverlappingFileLockException e) {
            // this very program has it
        } catch (IOException e) {
            channel.close();
            throw e;
        }
        channel.close();
        throw new RecordFault(place, "a program is writing this record right now");
    }

    private static void writeAll(Path file, FileChannel channel, byte[] bytes) throws IOException {
        ByteBuffer buffer = ByteBuffer.wrap(bytes);
        try {
            while (buffer.hasRemaining()) {
                channel.write(buffer);
            }
        } catch (IOException e) {
            throw named(file, e);
        }
    }

    private static void force(Path file, FileChannel channel, boolean withItsAttributes) throws IOException {
        try {
            channel.force(withItsAttributes);
        } catch (IOException e) {
            throw named(file, e);
        }
    }

    private static IOException named(Path file, IOException e) {
        // Some have no message, such as that a channel is closed.
        String what = e.getMessage() == null ? e.toString() : e.getMessage();
        return new IOException(file + ": " + what + room(file), e);
    }

    /** How much room there is, or nothing where that cannot be told. */
    private static String room(Path file) {
        try {
            long free = Files.getFileStore(file).getUsableSpace();
            return "; " + Decimals.fixed(free / 1e6, 1) + " MB are free there";
        } catch (IOException e) {
            return "";
        }
    }

    /** Forces a file that something else wrote. */
    void force(Path file) throws IOException {
        try (FileChannel channel = FileChannel.open(file, StandardOpenOption.WRITE, LinkOption.NOFOLLOW_LINKS)) {
            force(file, channel, true);
        }
    }

    /** Gives a file its name, in one step; what was called so is gone. */
    void move(Path from, Path to) throws IOException {
        Files.move(from, to, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    }

    /** Gives a file a second name, in one step, or a copy where the file system has no links; never over another file. */
    void link(Path file, Path name) throws IOException {
        try {
            Files.createLink(name, file);
        } catch (UnsupportedOperationException e) {
            Files.copy(file, name, StandardCopyOption.COPY_ATTRIBUTES);
        }
    }

    void delete(Path file) throws IOException {
        Files.delete(file);
    }

    /** Forces the names in a folder. Windows has no such thing and refuses. */
    void forceFolder(Path folder) throws IOException {
        try (FileChannel channel = FileChannel.open(folder, StandardOpenOption.READ)) {
            force(folder, channel, true);
        } catch (AccessDeniedException e) {
            if (File.separatorChar == '/') {
                throw e;
            }
        }
    }

    /** Writes a file so that it is there whole or not at all. */
    final void writeWhole(Path file, byte[] bytes) throws IOException {
        Path unfinished = file.resolveSibling(file.getFileName() + UNFINISHED);
        write(unfinished, bytes);
        move(unfinished, file);
        forceFolder(file.getParent());
    }
}
