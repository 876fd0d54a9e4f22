package org.plateaubench.bench.load;

import java.io.File;
import java.io.IOException;
import java.net.URISyntaxException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.Deadline;

/** Stands for the run's own process: switches a workload on and renews the lease ten times a second, until it is ended. */
final class EngineProgram {

    private EngineProgram() {}

    /**
     * Arguments: folder for the output, "here" or "none" for what holds the load's processes, the lease in milliseconds, then
     * the command. Prints what came of switching on.
     */
    public static void main(String[] args) {
        WorkloadLoad load = new WorkloadLoad(
                Benches.withWorkload(List.of(Arrays.copyOfRange(args, 3, args.length))),
                new GuardedCommand(
                        () -> Path.of(args[0]),
                        Long.parseLong(args[2]),
                        GuardedCommand.LOG_LIMIT_BYTES,
                        args[1].equals("none") ? Containment.none() : Containment.here()));
        SetResult on = onThoughBusy(load, new HeatDemand.Workload(Benches.WORKLOAD, 0));
        System.out.println(on.done() ? "heat is on" : on.detail());
        while (true) {
            load.renew();
            Deadline.afterMillis(100).await();
        }
    }

    /** Switches on, once more where a machine that is busy with other tests let the guardian's start take too long. */
    static SetResult onThoughBusy(Load load, HeatDemand demand) {
        SetResult on = load.on(demand);
        return on.detail().startsWith(GuardedCommand.NOT_STARTED) ? load.on(demand) : on;
    }

    /** Starts this program in a process of its own, with the best that holds processes here, and waits for its heat. */
    static Process start(Path logs, List<String> command) throws IOException {
        return start(logs, "here", GuardedCommand.LEASE_MILLIS, command);
    }

    /** Starts this program in a process of its own and waits until its heat is on. */
    static Process start(Path logs, String containment, long leaseMillis, List<String> command) throws IOException {
        List<String> line = new ArrayList<>(List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-Xmx64m",
                "-XX:+UseSerialGC",
                "-XX:TieredStopAtLevel=1",
                "-cp",
                home(EngineProgram.class) + File.pathSeparator + home(Guardian.class),
                EngineProgram.class.getName(),
                logs.toString(),
                containment,
                Long.toString(leaseMillis)));
        line.addAll(command);
        Process engine = new ProcessBuilder(line).redirectErrorStream(true).start();
        String said = engine.inputReader().readLine();
        if (!"heat is on".equals(said)) {
            engine.destroyForcibly();
            throw new IOException("the engine program said: " + said);
        }
        return engine;
    }

    private static String home(Class<?> type) {
        try {
            return Path.of(type.getProtectionDomain()
                            .getCodeSource()
                            .getLocation()
                            .toURI())
                    .toString();
        } catch (URISyntaxException e) {
            throw new IllegalStateException(e);
        }
    }
}
