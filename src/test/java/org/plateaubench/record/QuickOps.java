package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.Arrays;

/** The same files without waiting for the disk, so that tests are quick. */
class QuickOps extends FileOps {

    @Override
    void write(Path file, byte[] bytes) throws IOException {
        Files.write(file, bytes);
    }

    @Override
    void writeAt(Path file, long length, byte[] bytes) throws IOException {
        byte[] kept = Files.exists(file) ? Files.readAllBytes(file) : new byte[0];
        Files.write(file, Arrays.copyOf(kept, (int) length));
        Files.write(file, bytes, StandardOpenOption.APPEND);
    }

    @Override
    Growing grow(Path file) throws IOException {
        Growing real = super.grow(file);
        return new Growing() {
            @Override
            public void append(byte[] bytes) throws IOException {
                real.append(bytes);
            }

            @Override
            public void force() {}

            @Override
            public void close() throws IOException {
                real.close();
            }
        };
    }

    @Override
    void force(Path file) throws IOException {}

    @Override
    void forceFolder(Path folder) throws IOException {}
}
