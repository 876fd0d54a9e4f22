package org.plateaubench.night;

import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;
import org.plateaubench.bench.Bench;
import org.plateaubench.clock.Deadline;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;

/**
 * What keeps a bench safe when the night itself cannot: signals make it safe at once and ask the night to end, a request
 * beside the record asks it too; a shutdown hook does so if the process ends in any other way; a dead-man thread does
 * so if the night stops making progress, and then ends the process.
 */
final class Protection implements AutoCloseable {

    /** So long may a night make no progress, in real time, beyond its sampling period. */
    private static final long DEAD_MILLIS = 5000;

    private static final long LOOK_MILLIS = 200;
    /** So long may the hook wait for the night to seal its record, in real time. */
    private static final long SEAL_MILLIS = 20_000;

    private static final List<String> ENDING = List.of("INT", "TERM");

    private final Night night;
    private final Bench bench;
    private final StopRequest stop;
    private final Consumer<String> err;
    private final long deadLooks;
    private final Thread deadMan;
    private volatile boolean open = true;
    private volatile boolean nightOver;

    /**
     * Starts to protect.
     *
     * @param night the night, about to run
     * @param bench its bench, open
     * @param realPeriodMillis how long a tick may take in real time by the plan, ms
     * @param stop a person's request to end, looked for again and again
     * @param addHook adds a thread that runs at shutdown, before serial ports are closed
     * @param err told what happens, one line
     */
    Protection(
            Night night,
            Bench bench,
            long realPeriodMillis,
            StopRequest stop,
            Consumer<Thread> addHook,
            Consumer<String> err) {
        this.night = night;
        this.bench = bench;
        this.stop = stop;
        this.err = err;
        this.deadLooks = (DEAD_MILLIS + realPeriodMillis) / LOOK_MILLIS;
        ENDING.forEach(name -> Signals.handle(name, this::ending));
        Signals.handle("HUP", name -> night.request(new Input.Signal(name)));
        addHook.accept(new Thread(this::shutDown, "plateau-shutdown"));
        deadMan = new Thread(this::watch, "plateau-dead-man");
        deadMan.setDaemon(true);
        deadMan.start();
    }

    private void ending(String name) {
        if (open) {
            err.accept("signal " + name + ": making the bench safe, then sealing the record");
            night.request(new Input.Signal(name));
            bench.makeSafe(false);
        }
    }

    private void shutDown() {
        if (!open) {
            return;
        }
        night.request(new Input.Signal("shutdown"));
        bench.makeSafe(false);
        Deadline seal = Deadline.afterMillis(SEAL_MILLIS);
        while (open && !seal.passed()) {
            Deadline.afterMillis(20).await();
        }
        Runtime.getRuntime().halt(Exit.ENDED_EARLY.code());
    }

    /**
     * Counts its own looks, not the time: a machine that stood still gave neither the night nor this thread a turn, and the
     * night has its time again to go on.
     */
    private void watch() {
        long beats = night.beats();
        long looks = 0;
        boolean asked = false;
        while (open) {
            Deadline.afterMillis(LOOK_MILLIS).await();
            Optional<String> by = asked || nightOver ? Optional.empty() : stop.by();
            if (by.isPresent()) {
                asked = true;
                err.accept(by.get() + " asks for the end: making the bench safe, then sealing the record");
                night.request(new Input.Operator(by.get()));
            }
            if (nightOver || night.beats() != beats) {
                beats = night.beats();
                looks = 0;
            } else if (++looks >= deadLooks) {
                err.accept("no progress for " + deadLooks * LOOK_MILLIS / 1000
                        + " s: making the bench safe; threads follow");
                bench.makeSafe(false);
                Thread.getAllStackTraces().forEach((thread, frames) -> {
                    StringBuilder text = new StringBuilder(thread.getName());
                    for (StackTraceElement frame : frames) {
                        text.append("\n    at ").append(frame);
                    }
                    err.accept(text.toString());
                });
                Runtime.getRuntime().halt(Exit.BUG.code());
            }
        }
    }

    /** The night has ended and the bench is safe; what follows is sealing. */
    void nightOver() {
        nightOver = true;
    }

    /** Ends the protection: the record is sealed. */
    @Override
    public void close() {
        open = false;
    }
}
