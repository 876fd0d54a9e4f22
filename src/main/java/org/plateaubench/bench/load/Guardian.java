package org.plateaubench.bench.load;

import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.units.Decimals;

/**
 * A small process of its own that runs a heat load's command and ends all of it when the program that started it dies,
 * freezes or says so. The command is started again each time it ends with status 0; with any other status the guardian
 * reports that and ends.
 *
 * <p>It ends the load when its standard input closes, when no {@link #RENEW} byte came for the length of the lease, when
 * an {@link #OFF} byte came, or when it is told to end by a signal. On its standard output it reports lines: {@code
 * started}, {@code completed}, {@code failed}, {@code off}, each with a detail behind a blank.
 *
 * <p>What holds the load beside this process is put before the command by the caller, see {@link Containment}. Without a
 * process namespace a program of the load that makes itself a daemon and clears or overwrites its environment is not
 * caught. Without a death signal nothing is caught if this process is killed by SIGKILL while the program that started
 * it is killed too. Should both be frozen, the load goes on: that, and a power cut, only hardware covers.
 *
 * <p>It needs the JDK and the rooms {@code clock} and {@code units} only, so that it starts in a tenth of a second.
 */
public final class Guardian {

    /** The byte that renews the lease. */
    static final int RENEW = '.';
    /** The byte that says: end the load. */
    static final int OFF = 'x';

    private static final long END_MILLIS = 1_000;
    private static final long REPORT_MILLIS = 300;
    private static final long LOOK_MILLIS = 50;
    private static final long LAST_OUTPUT_MILLIS = 300;
    /** A command that ends at once is not started more often than this. */
    private static final long BETWEEN_STARTS_MILLIS = 200;

    private final long leaseMillis;
    private final ProcessTree tree;
    private final List<String> command;
    private final BoundedLog log;
    private final PrintStream out;
    private final SystemClock clock = new SystemClock();
    private volatile Deadline lease;
    private volatile Process process;
    private boolean ending;

    private Guardian(long leaseMillis, ProcessTree tree, List<String> command, BoundedLog log, PrintStream out) {
        this.leaseMillis = leaseMillis;
        this.tree = tree;
        this.command = command;
        this.log = log;
        this.out = out;
        this.lease = Deadline.afterMillis(leaseMillis);
    }

    /**
     * {@return the arguments for {@link #main}}
     *
     * @param leaseMillis length of the lease, ms
     * @param tree the load's processes
     * @param log file for the load's output
     * @param logLimitBytes how many bytes of it are kept
     * @param command what to run
     */
    static List<String> arguments(
            long leaseMillis, ProcessTree tree, Path log, long logLimitBytes, List<String> command) {
        List<String> arguments = new ArrayList<>(
                List.of(Long.toString(leaseMillis), tree.mark(), log.toString(), Long.toString(logLimitBytes)));
        arguments.addAll(command);
        return arguments;
    }

    /**
     * Runs a load until it is told to end it.
     *
     * @param args see {@link #arguments}
     */
    public static void main(String[] args) {
        PrintStream out = new PrintStream(new FileOutputStream(FileDescriptor.out), true, StandardCharsets.UTF_8);
        BoundedLog log;
        try {
            log = new BoundedLog(Path.of(args[2]), Long.parseLong(args[3]));
        } catch (IOException e) {
            out.println("failed the file for its output cannot be made: " + e.getMessage());
            return;
        }
        Guardian guardian = new Guardian(
                Long.parseLong(args[0]),
                new ProcessTree(args[1]),
                List.of(Arrays.copyOfRange(args, 4, args.length)),
                log,
                out);
        Runtime.getRuntime().addShutdownHook(new Thread(() -> guardian.end("failed its guardian was told to end")));
        daemon("lease", guardian::watchLease);
        daemon("orders", guardian::obey);
        guardian.run();
    }

    /** Runs on the thread that starts the command and outlives it: the kernel ties the death signal to this thread. */
    private void run() {
        for (int run = 1; ; run++) {
            Deadline nextStart = Deadline.afterMillis(BETWEEN_STARTS_MILLIS);
            long began = clock.nanos();
            Process started;
            try {
                started = start();
            } catch (IOException e) {
                end("failed run " + run + " could not be started: " + oneLine(e.getMessage()));
                return;
            }
            log.note("run " + run + " started");
            out.println("started run " + run);
            Thread copy = daemon("output", () -> copyOutput(started.getInputStream()));
            int status = waitFor(started);
            double seconds = (clock.nanos() - began) / 1e9;
            int left = isEnding()
                    ? 0
                    : tree.end(started.toHandle(), Deadline.afterMillis(END_MILLIS))
                            .size();
            join(copy, LAST_OUTPUT_MILLIS);
            String what = "run " + run + " ended with status " + status + " after " + Decimals.fixed(seconds, 2) + " s";
            log.note(what);
            if (isEnding()) {
                // The thread that ends the load also ends this process.
                Deadline.afterMillis(2 * (END_MILLIS + REPORT_MILLIS)).await();
                return;
            }
            if (status != 0 || left > 0) {
                end("failed " + what + (left > 0 ? ", " + left + " of its processes cannot be ended" : "")
                        + lastOutput() + log.fault());
                return;
            }
            out.println("completed " + what + log.fault());
            nextStart.await();
        }
    }

    private synchronized Process start() throws IOException {
        if (ending) {
            throw new IOException("the heat was switched off");
        }
        ProcessBuilder builder = new ProcessBuilder(command).redirectErrorStream(true);
        builder.environment().put(ProcessTree.VARIABLE, tree.mark());
        process = builder.start();
        process.getOutputStream().close();
        return process;
    }

    private synchronized boolean isEnding() {
        return ending;
    }

    private void copyOutput(InputStream output) {
        byte[] buffer = new byte[8192];
        try {
            for (int n = output.read(buffer); n >= 0; n = output.read(buffer)) {
                log.output(buffer, n);
            }
        } catch (IOException e) {
            log.note("its output could not be read further: " + e.getMessage());
        }
    }

    private void watchLease() {
        while (!lease.passed()) {
            Deadline.afterMillis(LOOK_MILLIS).await();
        }
        end("failed the program showed no life for " + Decimals.shortest(leaseMillis / 1e3, 3)
                + " s, so the load was ended");
    }

    private void obey() {
        try {
            for (int order = System.in.read(); order >= 0; order = System.in.read()) {
                if (order == OFF) {
                    end("off " + log.lastLine());
                }
                lease = Deadline.afterMillis(leaseMillis);
            }
        } catch (IOException e) {
            // A pipe that cannot be read is a pipe that has closed.
        }
        end("failed the program is gone, so the load was ended");
    }

    private String lastOutput() {
        String last = log.lastLine();
        return last.isEmpty() ? "" : "; last output: " + last;
    }

    /** Ends the load, reports, and ends this process; returns only where another thread does that already. */
    private void end(String report) {
        if (!claimEnding()) {
            Deadline.afterMillis(END_MILLIS + REPORT_MILLIS).await();
            return;
        }
        tree.end(process == null ? null : process.toHandle(), Deadline.afterMillis(END_MILLIS));
        // On a thread of its own: nobody may read the pipe any more, and then the report would wait for ever.
        join(daemon("report", () -> out.println(report)), REPORT_MILLIS);
        Runtime.getRuntime().halt(0);
    }

    /** True for the one thread that ends the load; from then on {@code process} does not change. */
    private synchronized boolean claimEnding() {
        boolean first = !ending;
        ending = true;
        return first;
    }

    private static int waitFor(Process process) {
        while (true) {
            try {
                return process.waitFor();
            } catch (InterruptedException e) {
                // Nothing interrupts this thread on purpose; it must outlive the command.
            }
        }
    }

    private static void join(Thread thread, long millis) {
        try {
            thread.join(millis);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    private static Thread daemon(String name, Runnable body) {
        Thread thread = new Thread(body, name);
        thread.setDaemon(true);
        thread.start();
        return thread;
    }

    private static String oneLine(String text) {
        return text == null ? "" : text.replaceAll("\\p{Cntrl}+", " ");
    }
}
