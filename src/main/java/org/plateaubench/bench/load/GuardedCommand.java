package org.plateaubench.bench.load;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Queue;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.Supplier;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.clock.Deadline;
import org.plateaubench.units.Decimals;

/**
 * A command that is kept running under a guardian while heat is wanted. {@link #on} is called by one thread at a time,
 * everything else by any.
 */
final class GuardedCommand {

    /** Length of the lease, ms. */
    static final long LEASE_MILLIS = 5_000;
    /** How many bytes of output one log keeps. */
    static final long LOG_LIMIT_BYTES = 1 << 20;

    /** How the detail begins where the system gave the guardian no time to start. */
    static final String NOT_STARTED = "it did not start within ";

    private static final String HEAT = "heat";
    private static final long START_MILLIS = 2_500;
    private static final long GUARDIAN_ENDS_MILLIS = 1_400;
    private static final long LAST_REPORT_MILLIS = 100;
    private static final long END_MILLIS = 400;
    private static final long BETWEEN_ORDERS_MILLIS = 1_000;
    private static final AtomicLong LOADS = new AtomicLong();

    private final Supplier<Path> logs;
    private final long leaseMillis;
    private final long logLimitBytes;
    private final Containment containment;
    private final Queue<LoadEvent> events = new ConcurrentLinkedQueue<>();
    private volatile Session session;

    /**
     * A load that is off.
     *
     * @param logs gives the folder for the output, asked when a load starts
     * @param leaseMillis how long the load lives without {@link #renew}, ms
     * @param logLimitBytes how many bytes of output one log keeps
     * @param containment what holds its processes together
     */
    GuardedCommand(Supplier<Path> logs, long leaseMillis, long logLimitBytes, Containment containment) {
        this.logs = logs;
        this.leaseMillis = leaseMillis;
        this.logLimitBytes = logLimitBytes;
        this.containment = containment;
    }

    /**
     * Starts the command and waits, bounded, until it has begun. If the same is running already, nothing is done.
     *
     * @param asked what was asked for, as text
     * @param command what to run
     * @return what came of it
     */
    SetResult on(String asked, List<String> command) {
        Session present = session;
        if (present != null && present.runs(command)) {
            return done(asked, "already running");
        }
        SetResult off = off();
        if (!off.done()) {
            return refused(asked, "the load before it could not be ended: " + off.detail());
        }
        Optional<String> missing = Containment.missing(command.get(0));
        if (missing.isPresent()) {
            events.add(new LoadEvent(LoadEvent.Kind.FAILED, missing.get()));
            return refused(asked, missing.get());
        }
        try {
            Session started = new Session(command);
            session = started;
            return started.awaitStart(asked);
        } catch (IOException e) {
            String why = "its guardian could not be started: " + e.getMessage();
            events.add(new LoadEvent(LoadEvent.Kind.FAILED, why));
            return refused(asked, why);
        }
    }

    /** Renews the lease; never waits. */
    void renew() {
        Session present = session;
        if (present != null) {
            present.orders.offer(Guardian.RENEW);
        }
    }

    /**
     * Ends the load and looks whether anything of it is left; bounded to 2 s.
     *
     * @return what came of it
     */
    SetResult off() {
        Session present = session;
        return present == null ? done("off", "nothing was running") : present.off();
    }

    /** {@return what the load did since the last call, in order} */
    List<LoadEvent> events() {
        List<LoadEvent> drained = new ArrayList<>();
        for (LoadEvent event = events.poll(); event != null; event = events.poll()) {
            drained.add(event);
        }
        return drained;
    }

    /** A result: it was done. */
    static SetResult done(String asked, String readback) {
        return new SetResult(HEAT, asked, true, readback, "");
    }

    /** A result: it was not done. */
    static SetResult refused(String asked, String why) {
        return new SetResult(HEAT, asked, false, "", why);
    }

    private Path nextLog() throws IOException {
        Path folder = logs.get();
        Files.createDirectories(folder);
        int number = 1;
        while (Files.exists(folder.resolve("load-" + number + ".log"))) {
            number++;
        }
        return folder.resolve("load-" + number + ".log").toAbsolutePath();
    }

    /** Never twice on one machine: the process, when it began, how many loads it has had. */
    private static String newMark() {
        ProcessHandle self = ProcessHandle.current();
        long began =
                self.info().startInstant().map(java.time.Instant::toEpochMilli).orElse(0L);
        return self.pid() + "-" + began + "-" + LOADS.incrementAndGet();
    }

    /** One guardian, from its start to its end. */
    private final class Session {

        private final List<String> command;
        private final ProcessTree tree = new ProcessTree(newMark());
        private final BlockingQueue<Integer> orders = new ArrayBlockingQueue<>(2);
        private final CountDownLatch begun = new CountDownLatch(1);
        private final CountDownLatch reported = new CountDownLatch(1);
        private final Process guardian;
        private volatile boolean stopping;
        private volatile String failure = "";
        private volatile String lastWords = "";

        Session(List<String> command) throws IOException {
            this.command = command;
            List<String> guarded = new ArrayList<>(containment.prefix());
            guarded.addAll(command);
            List<String> line = new ArrayList<>(containment.session());
            line.addAll(OwnProgram.command(
                    Guardian.class, Guardian.arguments(leaseMillis, tree, nextLog(), logLimitBytes, guarded)));
            guardian = new ProcessBuilder(line).redirectErrorStream(true).start();
            daemon("load-reports", this::readReports);
            daemon("load-orders", this::sendOrders);
        }

        boolean runs(List<String> wanted) {
            return !stopping && failure.isEmpty() && guardian.isAlive() && command.equals(wanted);
        }

        SetResult awaitStart(String asked) {
            boolean began = false;
            try {
                began = begun.await(START_MILLIS, TimeUnit.MILLISECONDS);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            if (began && failure.isEmpty() && !stopping) {
                return done(asked, "started, " + containment.text());
            }
            String why = stopping
                    ? "it was switched off meanwhile"
                    : began ? failure : NOT_STARTED + Decimals.shortest(START_MILLIS / 1e3, 1) + " s";
            off();
            return refused(asked, why);
        }

        SetResult off() {
            stopping = true;
            orders.clear();
            orders.offer(Guardian.OFF);
            boolean ended = false;
            try {
                ended = guardian.waitFor(GUARDIAN_ENDS_MILLIS, TimeUnit.MILLISECONDS)
                        && reported.await(LAST_REPORT_MILLIS, TimeUnit.MILLISECONDS);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            // Whatever the guardian did, look here too; it may be frozen, or have been killed.
            List<ProcessHandle> left = tree.end(ended ? null : guardian.toHandle(), Deadline.afterMillis(END_MILLIS));
            if (left.isEmpty()) {
                return done("off", "nothing is left" + lastWords);
            }
            List<Long> numbers = left.stream().map(ProcessHandle::pid).toList();
            return refused("off", "processes that cannot be ended: " + numbers);
        }

        private void readReports() {
            try (BufferedReader reports = guardian.inputReader(StandardCharsets.UTF_8)) {
                for (String line = reports.readLine(); line != null; line = reports.readLine()) {
                    take(line);
                }
            } catch (IOException | UncheckedIOException e) {
                // A pipe that cannot be read is a pipe that has closed.
            }
            if (!stopping && failure.isEmpty()) {
                List<ProcessHandle> left = tree.end(guardian.toHandle(), Deadline.afterMillis(END_MILLIS));
                fail("its guardian has ended by itself" + lastWords
                        + (left.isEmpty() ? "; the load was ended" : "; " + left.size() + " processes are left"));
            }
            begun.countDown();
            reported.countDown();
        }

        private void take(String line) {
            int blank = line.indexOf(' ');
            String detail = line.substring(blank + 1);
            switch (blank < 0 ? line : line.substring(0, blank)) {
                case "started" -> {
                    events.add(new LoadEvent(LoadEvent.Kind.STARTED, detail));
                    begun.countDown();
                }
                case "completed" -> events.add(new LoadEvent(LoadEvent.Kind.COMPLETED, detail));
                case "failed" -> fail(detail);
                case "off" -> lastWords = detail.isEmpty() ? "" : "; last output: " + detail;
                // The Java launcher's own complaint.
                default -> lastWords = "; it said: " + line;
            }
        }

        private void fail(String why) {
            failure = why;
            events.add(new LoadEvent(LoadEvent.Kind.FAILED, why));
            begun.countDown();
        }

        /** On a thread of its own, since a frozen guardian's pipe fills and then holds up whoever writes. */
        private void sendOrders() {
            try (OutputStream pipe = guardian.getOutputStream()) {
                while (guardian.isAlive()) {
                    Integer order = orders.poll(BETWEEN_ORDERS_MILLIS, TimeUnit.MILLISECONDS);
                    if (order != null) {
                        pipe.write(order);
                        pipe.flush();
                    }
                }
            } catch (IOException e) {
                // The guardian has ended; the other thread reports it.
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
        }
    }

    private static void daemon(String name, Runnable body) {
        Thread thread = new Thread(body, name);
        thread.setDaemon(true);
        thread.start();
    }
}
