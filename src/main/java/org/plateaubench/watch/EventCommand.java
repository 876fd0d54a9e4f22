package org.plateaubench.watch;

import java.io.File;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.plateaubench.clock.Deadline;
import org.plateaubench.night.NightListener;

/**
 * Runs a program of the operator's when something happens that a person may want to be told of, with two arguments: the
 * kind of the event and one line about it. No shell is involved. One at a time, each for a bounded time; when too many
 * wait, further events are left out. The night never waits for it.
 */
public final class EventCommand implements NightListener, AutoCloseable {

    private static final int MOST_WAITING = 16;
    private static final long MOST_MILLIS = 30_000;
    /** For ending a program by force, which it cannot put off. */
    private static final long KILL_MILLIS = 2000;

    private static final List<String> DECISIONS =
            List.of("pass-done", "pass-spoiled", "pass-given-up", "block-not-begun", "not-settled", "end");

    private final String program;
    private final Consumer<String> err;
    private final long mostMillis;
    private final BlockingQueue<String[]> waiting = new ArrayBlockingQueue<>(MOST_WAITING);
    private final Thread thread = new Thread(this::work, "plateau-events");
    private volatile boolean open = true;

    /**
     * Starts to wait for events.
     *
     * @param program path or name of the program
     * @param err told when it cannot be run or takes too long, one line
     */
    public EventCommand(String program, Consumer<String> err) {
        this(program, err, MOST_MILLIS);
    }

    /**
     * Whether a program can be run as far as can be told without running it.
     *
     * @param program path of the program, or its name where the system looks for programs
     * @return false if there is no file that this user may run
     */
    public static boolean runnable(String program) {
        if (File.separatorChar == '\\') {
            return !program.isEmpty(); // there the system completes names by rules of its own
        }
        String folders = program.contains(File.separator) ? "" : System.getenv().getOrDefault("PATH", "");
        return Stream.of(folders.split(File.pathSeparator))
                .map(folder -> Path.of(folder, program))
                .anyMatch(file -> Files.isRegularFile(file) && Files.isExecutable(file));
    }

    EventCommand(String program, Consumer<String> err, long mostMillis) {
        this.program = program;
        this.err = err;
        this.mostMillis = mostMillis;
        thread.setDaemon(true);
        thread.start();
    }

    @Override
    public void journalled(double seconds, Map<String, Object> fields) {
        String kind = kind(fields);
        if (!kind.isEmpty() && !waiting.offer(new String[] {kind, Happening.text(fields)})) {
            err.accept("--on-event: too many events wait; left out: " + kind);
        }
    }

    private static String kind(Map<String, Object> fields) {
        if ("device".equals(fields.get("input"))) {
            return "device-" + fields.get("event");
        }
        if ("storage".equals(fields.get("input"))) {
            return "storage";
        }
        Object decision = fields.get("decision");
        return decision != null && DECISIONS.contains(decision.toString()) ? decision.toString() : "";
    }

    private void work() {
        try {
            while (open || !waiting.isEmpty()) {
                String[] event = waiting.poll(100, TimeUnit.MILLISECONDS);
                if (event != null) {
                    run(event);
                }
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    private void run(String[] event) throws InterruptedException {
        Process process;
        try {
            process = new ProcessBuilder(program, event[0], event[1])
                    .redirectInput(ProcessBuilder.Redirect.from(nothing()))
                    .redirectOutput(ProcessBuilder.Redirect.DISCARD)
                    .redirectError(ProcessBuilder.Redirect.DISCARD)
                    .start();
        } catch (IOException e) {
            err.accept("--on-event: " + e.getMessage());
            return;
        }
        try {
            if (!process.waitFor(mostMillis, TimeUnit.MILLISECONDS)) {
                err.accept("--on-event: " + program + " ended after " + mostMillis / 1000 + " s");
            } else if (process.exitValue() != 0) {
                err.accept("--on-event: " + program + " ended with " + process.exitValue());
            }
        } finally {
            // Also when this thread is asked to end: nothing that was started here outlives the run.
            process.descendants().forEach(ProcessHandle::destroyForcibly);
            process.destroyForcibly();
        }
    }

    private static java.io.File nothing() {
        return new java.io.File(java.io.File.separatorChar == '/' ? "/dev/null" : "NUL");
    }

    /** Lets what waits be told, for a bounded time; then ends the program that is under way, whatever it ignores. */
    @Override
    public void close() {
        close(mostMillis);
    }

    void close(long patienceMillis) {
        open = false;
        awaitThread(patienceMillis);
        thread.interrupt();
        awaitThread(KILL_MILLIS);
        if (!waiting.isEmpty()) {
            err.accept("--on-event: the run is over; left out: " + waiting.size());
        }
    }

    private void awaitThread(long millis) {
        Deadline patience = Deadline.afterMillis(millis);
        while (thread.isAlive() && !patience.passed()) {
            Deadline.afterMillis(20).await();
        }
    }
}
