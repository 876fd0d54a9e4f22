package org.plateaubench;

import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Assertions;
import org.junit.jupiter.api.Assumptions;

/**
 * What a test wants beyond a JDK. Where it is missing the test is skipped with the reason, unless the environment
 * variable PLATEAU_TESTS is "all": then it fails.
 */
public final class Wants {

    private Wants() {}

    /**
     * Skips the test unless a program is on the path.
     *
     * @param program its name
     */
    public static void program(String program) {
        boolean found = false;
        for (String folder : System.getenv().getOrDefault("PATH", "").split(java.io.File.pathSeparator)) {
            found |= !folder.isEmpty() && Files.isExecutable(Path.of(folder, program));
        }
        that(found, "the program '" + program + "' on the path");
    }

    /**
     * Skips the test unless something is so.
     *
     * @param there whether it is
     * @param what what is wanted, for the reason
     */
    public static void that(boolean there, String what) {
        if ("all".equals(System.getenv("PLATEAU_TESTS"))) {
            Assertions.assertTrue(there, "this test wants " + what);
        }
        Assumptions.assumeTrue(there, () -> "this test wants " + what);
    }
}
