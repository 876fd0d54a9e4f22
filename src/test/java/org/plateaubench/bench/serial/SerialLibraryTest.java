package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.lang.reflect.Proxy;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;

/** Regression tests of what loading the serial library does to the process, each in a process of its own. */
@Timeout(30)
class SerialLibraryTest {

    @Test
    void loadingLeavesEverySignalAsItWas(@TempDir Path temporary) throws Exception {
        Wants.ears("HUP");
        List<String> lines = run(temporary, "signals");
        assertEquals(3, lines.size(), lines.toString());
        assertEquals(lines.get(0), lines.get(1));
        assertEquals("heard HUP", lines.get(2));
    }

    @Test
    void theNativePartComesFromAFolderOfTheProcessItselfThatIsGoneAfterwards(@TempDir Path temporary) throws Exception {
        List<String> lines = run(temporary, "folder");
        Path folder = Path.of(lines.get(0));
        assertEquals(temporary.toRealPath(), folder.getParent().toRealPath());
        assertFalse(Files.exists(folder));
        // The place that all processes would share is not used.
        assertFalse(Files.exists(temporary.resolve("jSerialComm")));
    }

    private static List<String> run(Path temporary, String what) throws Exception {
        Wants.that(Files.isReadable(Path.of("/proc/self/status")) && Pty.supported(), "/proc and pseudo-terminals");
        Process process = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-XX:TieredStopAtLevel=1",
                        "-Xshare:auto",
                        "-Djava.io.tmpdir=" + temporary,
                        "-cp",
                        System.getProperty("java.class.path"),
                        Loader.class.getName(),
                        what)
                .redirectError(ProcessBuilder.Redirect.INHERIT) // where Java 25 warns of native code
                .start();
        try {
            String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            assertTrue(process.waitFor(20, TimeUnit.SECONDS));
            assertEquals(0, process.exitValue(), output);
            return output.lines().toList();
        } finally {
            process.destroyForcibly();
        }
    }

    /** The process under test. */
    static final class Loader {

        private Loader() {}

        /** Prints which signals are ignored before and after, and hears one; or prints where the native part was. */
        public static void main(String[] arguments) throws Exception {
            if (arguments[0].equals("folder")) {
                openAndClose();
                System.out.println(System.getProperty("jSerialComm.library.path"));
                return;
            }
            CountDownLatch heard = new CountDownLatch(1);
            Class<?> signalType = Class.forName("sun.misc.Signal");
            Class<?> handlerType = Class.forName("sun.misc.SignalHandler");
            Object hangUp = signalType.getConstructor(String.class).newInstance("HUP");
            Object handler = Proxy.newProxyInstance(
                    Loader.class.getClassLoader(), new Class<?>[] {handlerType}, (proxy, method, values) -> {
                        heard.countDown();
                        return null;
                    });
            signalType.getMethod("handle", signalType, handlerType).invoke(null, hangUp, handler);
            System.out.println(ignored());
            openAndClose();
            System.out.println(ignored());
            signalType.getMethod("raise", signalType).invoke(null, hangUp);
            System.out.println(heard.await(5, TimeUnit.SECONDS) ? "heard HUP" : "deaf");
        }

        private static void openAndClose() throws Exception {
            try (Pty pty = Pty.open()) {
                pty.serve(request -> Pty.line("here"));
                try (SerialLine line = SerialLine.open(pty.path(), 115200, "\n", Optional.empty())) {
                    assertEquals("here", line.ask("?", 1000));
                }
            }
        }

        private static String ignored() throws Exception {
            return Files.readAllLines(Path.of("/proc/self/status")).stream()
                    .filter(l -> l.startsWith("SigIgn"))
                    .findFirst()
                    .orElseThrow();
        }
    }
}
