package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class FileOpsTest {

    @TempDir
    Path folder;

    @Test
    void anErrorOfForcingNamesItsFile() throws IOException {
        Path file = folder.resolve("samples.csv");
        FileOps.Growing growing = new FileOps().grow(file);
        growing.close();

        IOException error = assertThrows(IOException.class, growing::force);
        assertTrue(String.valueOf(error.getMessage()).startsWith(file + ": "), error::toString);
    }
}
