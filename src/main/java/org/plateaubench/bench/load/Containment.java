package org.plateaubench.bench.load;

import java.io.File;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;

/**
 * What this system offers to keep a load's processes together.
 *
 * @param session what starts the guardian in a session of its own, so that a key pressed on the terminal does not reach
 *     it; may be empty
 * @param prefix what a load's command is put behind; may be empty
 * @param text what that holds, and what it does not, one line for the record
 */
record Containment(List<String> session, List<String> prefix, String text) {

    private static final long PROBE_MILLIS = 2_000;
    private static final List<String> DEATH_SIGNAL = List.of("setpriv", "--pdeathsig", "KILL", "--");
    private static final List<String> NAMESPACE = List.of("unshare", "--pid", "--fork", "--kill-child");

    /** Copies the lists. */
    Containment {
        session = List.copyOf(session);
        prefix = List.copyOf(prefix);
    }

    /** {@return the best that works here; found out once, each try bounded in time} */
    static Containment here() {
        return Probed.BEST;
    }

    /** {@return what holds a load where the system offers nothing but a list of processes} */
    static Containment none() {
        return new Containment(
                List.of(),
                List.of(),
                "held by its guardian; " + escape() + ", and nothing is when the guardian itself is killed");
    }

    /**
     * Finds a program as the system would.
     *
     * @param program its name, or a path
     * @return why it cannot be started; empty if it is there, or if this system finds programs in ways of its own
     */
    static Optional<String> missing(String program) {
        boolean ownWays = File.separatorChar == '\\';
        if (ownWays || program.isEmpty()) {
            return ownWays ? Optional.empty() : Optional.of("the command has an empty name");
        }
        if (program.indexOf('/') >= 0) {
            return isProgram(Path.of(program))
                    ? Optional.empty()
                    : Optional.of("there is no program '" + program + "' that may be executed");
        }
        String path = System.getenv().getOrDefault("PATH", "");
        for (String folder : path.split(File.pathSeparator)) {
            if (isProgram(Path.of(folder, program))) {
                return Optional.empty();
            }
        }
        return Optional.of("there is no program '" + program + "' in any folder of PATH (" + path + ")");
    }

    private static boolean isProgram(Path file) {
        return Files.isRegularFile(file) && Files.isExecutable(file);
    }

    private static String escape() {
        return "a program that makes itself a daemon"
                + (ProcessTree.findsMarks() ? " and clears or overwrites its environment" : "") + " is not caught here";
    }

    private static Containment probe() {
        List<String> session = works(List.of("setsid")) ? List.of("setsid") : List.of();
        // Rights of a user namespace are enough where the system lets anyone make one. A container may refuse to mount.
        for (List<String> rights : List.of(List.<String>of(), List.of("--user", "--map-current-user"))) {
            for (List<String> proc : List.of(List.of("--mount-proc"), List.<String>of())) {
                List<String> prefix = join(DEATH_SIGNAL, NAMESPACE, rights, proc, List.of("--"));
                if (works(prefix)) {
                    return new Containment(
                            session, prefix, "held in a process namespace that the kernel ends, daemons included");
                }
            }
        }
        if (works(DEATH_SIGNAL)) {
            return new Containment(
                    session,
                    DEATH_SIGNAL,
                    "held by its guardian and a death signal, no process namespace; " + escape());
        }
        return new Containment(session, List.of(), none().text());
    }

    /** True if a command behind this prefix ends well, in time. */
    private static boolean works(List<String> prefix) {
        Process process = null;
        try {
            process = new ProcessBuilder(join(prefix, List.of("true")))
                    .redirectErrorStream(true)
                    .redirectOutput(ProcessBuilder.Redirect.DISCARD)
                    .start();
            return process.waitFor(PROBE_MILLIS, TimeUnit.MILLISECONDS) && process.exitValue() == 0;
        } catch (IOException e) {
            return false;
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return false;
        } finally {
            if (process != null) {
                process.destroyForcibly();
            }
        }
    }

    @SafeVarargs
    private static List<String> join(List<String>... parts) {
        List<String> all = new ArrayList<>();
        for (List<String> part : parts) {
            all.addAll(part);
        }
        return List.copyOf(all);
    }

    private static final class Probed {
        private static final Containment BEST = probe();
    }
}
