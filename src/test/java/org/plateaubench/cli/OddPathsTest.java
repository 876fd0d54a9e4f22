package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class OddPathsTest {

    @TempDir
    Path folder;

    private static String refused(String... args) {
        StringWriter err = new StringWriter();
        int code = Main.run(new PrintWriter(new StringWriter()), new PrintWriter(err, true), args);
        assertEquals(Main.USAGE, code, err::toString);
        return err.toString();
    }

    @Test
    void theRootIsNoFileToWriteNorToAttach() throws Exception {
        String root = folder.getRoot().toString();
        Path record = Files.createDirectory(folder.resolve("record"));

        String attached = refused("note", record.toString(), "text", "--attach", root);
        assertTrue(attached.startsWith(root + " cannot be read: "), attached);
        String compared = refused("compare", record.toString(), record.toString(), "--html", root);
        assertTrue(compared.contains("cannot be read as a record"), compared);
    }
}
