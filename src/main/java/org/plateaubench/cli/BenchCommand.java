package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import java.util.concurrent.CountDownLatch;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.sim.StandaloneSimulator;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.clock.SystemClock;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** What is done with a bench before its first night. */
@Command(
        name = "bench",
        mixinStandardHelpOptions = true,
        footer = {
            "",
            "Examples:",
            "  plateau bench ports",
            "  plateau bench new my-bench.yaml",
            "  plateau bench check my-bench.yaml"
        },
        subcommands = {
            BenchPortsCommand.class,
            BenchNewCommand.class,
            BenchCheckCommand.class,
            BenchCalibrateCommand.class,
            BenchCommissionCommand.class,
            BenchCommand.Simulate.class
        })
final class BenchCommand implements Callable<Integer> {

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        spec.commandLine().usage(spec.commandLine().getOut());
        return Main.USAGE;
    }

    /** Simulates a bench for other programs. */
    @Command(
            name = "simulate",
            mixinStandardHelpOptions = true,
            footer = {"", "Examples:", "  plateau bench simulate --write twin.yaml"},
            header = "Puts the simulated bench on pseudo-terminals, in real time, until it is stopped.",
            description =
                    "Prints the ports. With --write a bench file is written that reaches it as if it were a real one,"
                            + " also for this program: plateau run PLAN --bench FILE --fans FILE.")
    static final class Simulate implements Callable<Integer> {

        @Parameters(
                paramLabel = "BENCH",
                arity = "0..1",
                description = "a simulated bench file; default: the one inside")
        private Path bench;

        @Option(names = "--set", paramLabel = "SET", defaultValue = "A", description = "fan set that is mounted")
        private String set;

        @Option(names = "--seed", paramLabel = "SEED", description = "instead of the bench file's")
        private Long seed;

        @Option(names = "--write", paramLabel = "FILE", description = "where the bench file goes that reaches it")
        private Path write;

        @Spec
        private CommandSpec spec;

        @Override
        public Integer call() throws IOException {
            if (!Pty.supported()) {
                throw new Refusal("this system has no pseudo-terminals that the program knows");
            }
            BenchFile file = read();
            PrintWriter out = spec.commandLine().getOut();
            try (StandaloneSimulator simulator = StandaloneSimulator.start(
                    file,
                    set,
                    seed != null ? seed : file.simulation().orElseThrow().seed(),
                    new SystemClock())) {
                for (StandaloneSimulator.Port port : simulator.ports()) {
                    out.println("SIMULATED  " + port.device() + " answers on " + port.path());
                }
                if (write != null) {
                    Files.writeString(write, simulator.benchFile(), StandardCharsets.UTF_8);
                    out.println("SIMULATED  bench file " + write);
                }
                out.println("SIMULATED  runs until it is stopped");
                out.flush();
                new CountDownLatch(1).await();
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            return Main.DONE;
        }

        private BenchFile read() {
            BenchFile file = BenchFileArgument.read(bench);
            if (file.simulation().isEmpty()) {
                throw new Refusal(bench + " describes a real bench; one with a simulation part is needed");
            }
            return file;
        }
    }
}
