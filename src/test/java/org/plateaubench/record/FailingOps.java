package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Arrays;

/** Lets one operation fail, and everything after it, as the end of the program would. */
final class FailingOps extends QuickOps {

    /** How the operation ends: not begun, half done, or done without anybody knowing. */
    enum End {
        BEFORE,
        HALFWAY,
        AFTER
    }

    private final int failing;
    private final End end;
    private int begun;

    FailingOps(int failing, End end) {
        this.failing = failing;
        this.end = end;
    }

    /** Whether the operation that was to fail was reached. */
    boolean failed() {
        return begun > failing;
    }

    private interface Op {
        void run() throws IOException;
    }

    private void step(Op whole, Op half) throws IOException {
        int number = begun++;
        if (number > failing) {
            throw new IOException("the program is over");
        }
        if (number == failing && end == End.BEFORE) {
            throw new IOException("ended before operation " + number);
        }
        if (number == failing && end == End.HALFWAY) {
            half.run();
            throw new IOException("ended halfway through operation " + number);
        }
        whole.run();
        if (number == failing) {
            throw new IOException("ended after operation " + number);
        }
    }

    @Override
    void createFolder(Path folder) throws IOException {
        step(() -> super.createFolder(folder), () -> {});
    }

    @Override
    void write(Path file, byte[] bytes) throws IOException {
        step(() -> super.write(file, bytes), () -> super.write(file, Arrays.copyOf(bytes, bytes.length / 2)));
    }

    @Override
    void writeAt(Path file, long length, byte[] bytes) throws IOException {
        step(
                () -> super.writeAt(file, length, bytes),
                () -> super.writeAt(file, length, Arrays.copyOf(bytes, bytes.length / 2)));
    }

    @Override
    void force(Path file) {}

    @Override
    void move(Path from, Path to) throws IOException {
        step(() -> super.move(from, to), () -> {});
    }

    @Override
    void delete(Path file) throws IOException {
        step(() -> super.delete(file), () -> {});
    }
}
