package org.plateaubench.bench.load;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.BooleanSupplier;
import org.plateaubench.clock.Deadline;

/** Looks at real processes, by another path than the code under test: by a text that only they have in their arguments. */
final class Processes {

    private static final Path PROC = Path.of("/proc");
    private static int tokens;

    private Processes() {}

    /** A number of seconds for `sleep`, above an hour, that no other process of this machine sleeps. */
    static synchronized String token() {
        tokens++;
        return "4000." + ProcessHandle.current().pid() + "1" + tokens;
    }

    /** True where real processes can be looked at as these tests do. */
    static boolean canBeSeen() {
        return Files.isReadable(PROC.resolve("self/cmdline")) && Files.isExecutable(Path.of("/bin/sh"));
    }

    /** Living processes with a text in their arguments, zombies not counted. */
    static List<Long> with(String text) {
        List<Long> found = new ArrayList<>();
        try (DirectoryStream<Path> all = Files.newDirectoryStream(PROC, "[0-9]*")) {
            for (Path process : all) {
                long pid = Long.parseLong(process.getFileName().toString());
                if (read(process.resolve("cmdline")).contains(text) && !isZombie(pid)) {
                    found.add(pid);
                }
            }
        } catch (IOException e) {
            throw new IllegalStateException(e);
        }
        return found;
    }

    /** Living processes with both texts in their arguments. */
    static List<Long> with(String text, String other) {
        return with(text).stream()
                .filter(pid -> read(PROC.resolve(pid + "/cmdline")).contains(other))
                .toList();
    }

    /** The process namespaces of these processes, except the one of this process. */
    static List<String> namespacesOf(List<Long> processes) {
        String own = namespace(ProcessHandle.current().pid());
        return processes.stream()
                .map(Processes::namespace)
                .filter(n -> !n.isEmpty() && !n.equals(own))
                .distinct()
                .toList();
    }

    /** Living processes of these namespaces. */
    static List<Long> inNamespaces(List<String> namespaces) {
        return ProcessHandle.allProcesses()
                .map(ProcessHandle::pid)
                .filter(pid -> namespaces.contains(namespace(pid)) && !isZombie(pid))
                .toList();
    }

    private static String namespace(long pid) {
        try {
            return Files.readSymbolicLink(PROC.resolve(pid + "/ns/pid")).toString();
        } catch (IOException e) {
            return "";
        }
    }

    static boolean isZombie(long pid) {
        String stat = read(PROC.resolve(pid + "/stat"));
        int state = stat.lastIndexOf(')') + 2;
        return state >= stat.length() || stat.charAt(state) == 'Z' || stat.charAt(state) == 'X';
    }

    private static String read(Path file) {
        try {
            return Files.readString(file, StandardCharsets.ISO_8859_1);
        } catch (IOException e) {
            return "";
        }
    }

    /** Sends a signal to one process, by its number. */
    static void signal(String name, long pid) throws IOException, InterruptedException {
        int status = new ProcessBuilder("/bin/sh", "-c", "kill -" + name + " " + pid)
                .inheritIO()
                .start()
                .waitFor();
        if (status != 0) {
            throw new IOException("kill -" + name + " " + pid + " ended with status " + status);
        }
    }

    /** Waits, bounded, until something is so. */
    static boolean within(long millis, BooleanSupplier so) {
        Deadline deadline = Deadline.afterMillis(millis);
        while (!so.getAsBoolean()) {
            if (deadline.passed()) {
                return false;
            }
            Deadline.afterMillis(10).await();
        }
        return true;
    }
}
