package org.plateaubench.bench.load;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;

/**
 * A campaign, not part of the ordinary tests: stress-ng as the load, the run's process ended or frozen by each signal
 * many times at seeded moments; what is left of the load is counted by identity (process number and namespace). Run it
 * with
 *
 * <pre>mvn -Dtest=LoadCampaign -Dplateau.rounds=50 test</pre>
 */
class LoadCampaign {

    private static final int PROCESSORS = 2;
    private static final long SEED = 20261124;

    @TempDir
    Path folder;

    /**
     * One round.
     *
     * @param began how many processes the load had, its guardian among them
     * @param left those still there after 6 s
     * @param millis when the last one was gone, ms after the signal
     */
    record Round(int began, List<Long> left, long millis) {}

    @Test
    void nothingIsLeftAfterAnySignal() throws Exception {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
        Wants.program("stress-ng");
        int rounds = Integer.getInteger("plateau.rounds", 2);
        Random random = new Random(SEED);
        System.out.println(rounds + " rounds a signal, seed " + SEED + ", load "
                + Containment.here().text());
        System.out.println("signal  rounds  processes  left after 6 s  gone after: median      most");
        int leftInAll = 0;
        for (String signal : List.of("TERM", "INT", "KILL", "STOP")) {
            long[] millis = new long[rounds];
            int processes = 0;
            int left = 0;
            for (int i = 0; i < rounds; i++) {
                Round round =
                        round(Files.createDirectory(folder.resolve(signal + i)), signal, 20 + random.nextInt(400));
                millis[i] = round.millis();
                processes += round.began();
                left += round.left().size();
            }
            Arrays.sort(millis);
            System.out.println(String.format(
                    Locale.ROOT,
                    "%-6s  %6d  %9d  %14d  %15d ms  %5d ms",
                    signal,
                    rounds,
                    processes,
                    left,
                    millis[(rounds - 1) / 2],
                    millis[rounds - 1]));
            leftInAll += left;
        }
        assertEquals(0, leftInAll, "processes left");
    }

    /**
     * A load of which one process makes itself a daemon, and one that clears its environment besides, held by the best that
     * this system has and by the guardian alone. Only the last cannot be caught, and the record's line says so.
     */
    @Test
    void aDaemonIsCaughtWhereTheSystemAllows() throws Exception {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
        Wants.program("setsid");
        int rounds = Math.max(1, Integer.getInteger("plateau.rounds", 2) / 5);
        System.out.println("held by  child that makes itself a daemon  signal  rounds  left after 6 s");
        for (String containment : List.of("here", "none")) {
            for (String clearing : List.of("", "env -i ")) {
                for (String signal : List.of("TERM", "INT", "KILL", "STOP")) {
                    int left = 0;
                    for (int i = 0; i < rounds; i++) {
                        left += daemonsLeft(containment, clearing, signal, 100 + 50 * i);
                    }
                    System.out.println(String.format(
                            Locale.ROOT,
                            "%-7s  %-35s  %-6s  %6d  %14d",
                            containment,
                            clearing.isEmpty() ? "and keeps its environment" : "and clears its environment",
                            signal,
                            rounds,
                            left));
                    boolean allows =
                            clearing.isEmpty() || Containment.here().prefix().contains("--kill-child");
                    if (allows && (clearing.isEmpty() || containment.equals("here"))) {
                        assertEquals(0, left, containment + " " + clearing + signal);
                    }
                }
            }
            System.out.println("the record says: "
                    + (containment.equals("none") ? Containment.none() : Containment.here()).text());
        }
    }

    private int daemonsLeft(String containment, String clearing, String signal, long delayMillis) throws Exception {
        String sleep = "sleep " + Processes.token();
        String argument = sleep.replace(' ', '\0');
        Path logs = Files.createTempDirectory(folder, "daemon");
        String script = "(setsid " + clearing + "sh -c '" + sleep + " & exit 0' &) ; " + sleep;
        Process engine =
                EngineProgram.start(logs, containment, GuardedCommand.LEASE_MILLIS, List.of("/bin/sh", "-c", script));
        try {
            assertTrue(
                    Processes.within(3_000, () -> Processes.with(argument).size() == 2),
                    "the load has not started both");
            Deadline.afterMillis(delayMillis).await();
            Processes.signal(signal, engine.pid());
            Processes.within(6_000, () -> Processes.with(argument).isEmpty());
            return Processes.with(argument).size();
        } finally {
            engine.destroyForcibly();
            Processes.with(argument).forEach(pid -> ProcessHandle.of(pid).ifPresent(ProcessHandle::destroyForcibly));
        }
    }

    /** Starts an engine with stress-ng, waits a little, sends the engine a signal, and looks what is left of its load. */
    static Round round(Path folder, String signal, long delayMillis) throws Exception {
        Process engine = EngineProgram.start(
                folder, List.of("stress-ng", "--cpu", Integer.toString(PROCESSORS), "--temp-path", folder.toString()));
        try {
            assertTrue(
                    Processes.within(3_000, () -> engine.descendants().count() >= PROCESSORS + 2),
                    "stress-ng has not started its workers");
            Deadline.afterMillis(delayMillis).await();
            List<ProcessHandle> load = engine.descendants().toList();
            List<String> namespaces =
                    Processes.namespacesOf(load.stream().map(ProcessHandle::pid).toList());

            SystemClock clock = new SystemClock();
            Processes.signal(signal, engine.pid());
            Processes.within(6_000, () -> living(load, namespaces).isEmpty());
            return new Round(load.size(), living(load, namespaces), clock.nanos() / 1_000_000);
        } finally {
            engine.destroyForcibly();
        }
    }

    /** Those of the load that live, and whatever lives in a namespace of theirs. */
    private static List<Long> living(List<ProcessHandle> load, List<String> namespaces) {
        TreeSet<Long> living = new TreeSet<>(Processes.inNamespaces(namespaces));
        load.stream()
                .filter(process -> process.isAlive() && !Processes.isZombie(process.pid()))
                .forEach(process -> living.add(process.pid()));
        return List.copyOf(living);
    }
}
