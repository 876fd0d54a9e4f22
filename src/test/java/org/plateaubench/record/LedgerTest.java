package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

class LedgerTest {

    @TempDir
    Path folder;

    /** Another program that has a file to itself until its input ends. */
    static final class Holder {

        public static void main(String[] args) throws IOException {
            try (FileChannel channel =
                    FileChannel.open(Path.of(args[0]), StandardOpenOption.CREATE, StandardOpenOption.WRITE)) {
                channel.lock();
                System.out.write('!');
                System.out.flush();
                System.in.read();
            }
        }
    }

    @Test
    @Timeout(60)
    void aProgramThatKeepsTheLedgerIsWaitedForAWhileOnly() throws Exception {
        Path lock = folder.resolve("ledger.lock");
        Process other = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-cp",
                        Path.of(LedgerTest.class
                                        .getProtectionDomain()
                                        .getCodeSource()
                                        .getLocation()
                                        .toURI())
                                .toString(),
                        Holder.class.getName(),
                        lock.toString())
                .start();
        Ledger.Entry entry =
                new Ledger.Entry(Ledger.Event.OPENED, "night", true, Nights.OPENED, Checkpoint.FILE, "a", "");
        try {
            assertEquals('!', other.getInputStream().read());

            Ledger held = new Ledger(folder, new QuickOps(), 100);
            IOException fault = assertThrows(IOException.class, () -> held.enter(entry, Nights.TECHNICIAN));
            assertEquals("another program has held " + lock + " for 0.1 s", fault.getMessage());
            assertEquals(List.of(), held.read(torn -> {}));

            other.getOutputStream().close();
            new Ledger(folder, new QuickOps(), 30_000).enter(entry, Nights.TECHNICIAN);
            assertEquals(1, held.read(torn -> {}).size());
        } finally {
            other.destroyForcibly();
        }
    }
}
