package org.plateaubench.bench.load;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.DirectoryIteratorException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.plateaubench.clock.Deadline;

/**
 * The processes of one heat load, found by identity and never by name: a root with its descendants, and, where the
 * system has {@code /proc}, every process whose environment holds the load's mark. The mark also finds a child that has
 * made itself a daemon; it does not find one that has cleared or overwritten its environment too.
 *
 * @param mark what only this load's processes have in the environment variable {@link #VARIABLE}
 */
record ProcessTree(String mark) {

    /** The environment variable that carries the mark. */
    static final String VARIABLE = "PLATEAU_LOAD";

    private static final Path PROC = Path.of("/proc");
    private static final boolean HAS_PROC = Files.isReadable(PROC.resolve("self/stat"));
    private static final long BETWEEN_LOOKS_MILLIS = 5;

    /** {@return true if daemons are found by their mark on this system} */
    static boolean findsMarks() {
        return HAS_PROC;
    }

    /**
     * Ends every process of the load by a signal that cannot be caught, and looks again until twice in a row none was
     * left (one look may meet a process in the moment between fork and exec, in which it shows no environment).
     *
     * @param root the process that the load began with; null if there is none
     * @param until when to give up; one attempt is made in any case
     * @return what is still there; empty if nothing is
     */
    List<ProcessHandle> end(ProcessHandle root, Deadline until) {
        List<ProcessHandle> left = endOnce(root);
        int emptyLooks = left.isEmpty() ? 1 : 0;
        while (emptyLooks < 2 && !until.passed()) {
            Deadline.afterMillis(BETWEEN_LOOKS_MILLIS).await();
            left = endOnce(root);
            emptyLooks = left.isEmpty() ? emptyLooks + 1 : 0;
        }
        return left;
    }

    private List<ProcessHandle> endOnce(ProcessHandle root) {
        List<ProcessHandle> living = living(root);
        living.forEach(ProcessHandle::destroyForcibly);
        return living;
    }

    private List<ProcessHandle> living(ProcessHandle root) {
        Set<ProcessHandle> found = new LinkedHashSet<>();
        if (root != null) {
            root.descendants().forEach(found::add);
            found.add(root);
        }
        if (HAS_PROC) {
            addMarked(found);
        }
        return found.stream().filter(ProcessTree::isLiving).toList();
    }

    private void addMarked(Set<ProcessHandle> found) {
        // Whole entries of the environment, or the first load of a program would be taken for part of the tenth.
        String wanted = "\0" + VARIABLE + "=" + mark + "\0";
        try (DirectoryStream<Path> processes = Files.newDirectoryStream(PROC, "[0-9]*")) {
            for (Path process : processes) {
                if (("\0" + text(process.resolve("environ"))).contains(wanted)) {
                    Optional<ProcessHandle> handle = ProcessHandle.of(
                            Long.parseLong(process.getFileName().toString()));
                    handle.ifPresent(found::add);
                }
            }
        } catch (IOException | DirectoryIteratorException e) {
            // Without the list of processes the descendants are what can be found.
            return;
        }
    }

    /** A zombie is dead, although {@code isAlive} counts it: only its parent's note of it is left. */
    private static boolean isLiving(ProcessHandle process) {
        if (!HAS_PROC) {
            return process.isAlive();
        }
        String stat = text(PROC.resolve(Long.toString(process.pid())).resolve("stat"));
        int state = stat.lastIndexOf(')') + 2;
        return process.isAlive() && state < stat.length() && stat.charAt(state) != 'Z' && stat.charAt(state) != 'X';
    }

    /** The text of a file under /proc; empty if the process is gone or not ours to read. */
    private static String text(Path file) {
        try {
            return Files.readString(file, StandardCharsets.ISO_8859_1);
        } catch (IOException e) {
            return "";
        }
    }
}
