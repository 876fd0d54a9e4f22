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
     * Skips the test if whoever started it made its processes deaf to a signal, as shells do to what they put into the
     * background.
     *
     * @param name without "SIG"; INT and HUP are known
     */
    public static void ears(String name) {
        int number = name.equals("HUP") ? 1 : name.equals("INT") ? 2 : 0;
        Path status = Path.of("/proc/self/status");
        if (number == 0 || !Files.exists(status)) {
            return;
        }
        try {
            long ignored = Files.readAllLines(status).stream()
                    .filter(line -> line.startsWith("SigIgn:"))
                    .mapToLong(line -> Long.parseUnsignedLong(line.substring(7).strip(), 16))
                    .findFirst()
                    .orElse(0);
            Assumptions.assumeTrue((ignored & 1L << number - 1) == 0, "this test was started deaf to SIG" + name);
        } catch (java.io.IOException e) {
            throw new java.io.UncheckedIOException(e);
        }
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
