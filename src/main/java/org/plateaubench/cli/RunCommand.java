package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.time.OffsetDateTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.Callable;
import java.util.concurrent.atomic.AtomicReference;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.computer.ComputerDevice;
import org.plateaubench.bench.computer.HostFacts;
import org.plateaubench.bench.load.Loads;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.serial.ShutdownHook;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Problem;
import org.plateaubench.record.SealingKey;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Spec;

/** Runs a plan. */
@Command(
        name = "run",
        mixinStandardHelpOptions = true,
        footer = {
            "",
            "Examples:",
            "  plateau run protocols/first-night.yaml",
            "  plateau run protocols/first-night.yaml --fans protocols/fans/b.yaml --seed 7 --pace 60",
            "  plateau run night.yaml --watch 127.0.0.1:8080 --on-event ./tell-my-phone",
            "  plateau run night.yaml --fans my-fans.yaml --bench my-bench.yaml --by \"A. Technician\""
        })
final class RunCommand implements Callable<Integer> {

    @Mixin
    private NightOptions night;

    @Option(names = "--records", paramLabel = "DIR", defaultValue = "records", description = "folder of the records")
    private Path records;

    @Option(names = "--by", paramLabel = "NAME", defaultValue = "", description = "who runs it, for the record")
    private String by;

    @Option(
            names = "--pace",
            paramLabel = "N",
            description = "on the simulated bench: simulated seconds a real second; without it as fast as it goes")
    private Double pace;

    @Option(
            names = "--watch",
            paramLabel = "ADDRESS:PORT",
            description =
                    "serve a live page that can only be looked at, such as 127.0.0.1:8080; on an address that others"
                            + " reach it needs the token that is printed")
    private String watch;

    @Option(
            names = "--on-event",
            paramLabel = "COMMAND",
            description =
                    "program to run when a pass ends, a device is lost, the night ends: with the kind of the event"
                            + " and one line about it as its arguments; no shell, at most 30 s")
    private String onEvent;

    @Option(
            names = "--levels-from",
            paramLabel = "RECORD",
            description =
                    "steps above the background take the own levels that they had in that record, so that fan sets"
                            + " of different nights are compared at equal noise")
    private Path levelsFrom;

    @Option(
            names = "--attended",
            description = "somebody stays beside the bench: allows what an unattended run refuses, and says so in the"
                    + " record")
    private boolean attended;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        NightFiles files = night.read();
        boolean simulated = files.bench().simulation().isPresent();
        refuseWhatMayNotRun(files, simulated);
        Optional<Input.LevelsFrom> levels =
                Optional.ofNullable(levelsFrom).map(record -> OtherNightLevels.read(record, files));
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        SealingKey key = Keys.forRun(err);
        double speed = simulated ? (pace == null ? Double.POSITIVE_INFINITY : pace) : 1.0;
        Clock clock = clock(files, speed);
        OffsetDateTime start = simulated ? files.bench().simulation().get().start() : now();
        SystemClock stopwatch = new SystemClock();
        AtomicReference<Path> record = new AtomicReference<>();
        Bench bench = simulated ? simulatedBench(files, (VirtualClock) clock, out) : realBench(files, record);
        ProgressScreen screen = new ProgressScreen(out, Terminal.ofThisProcess(), start);
        NightRun run = new NightRun(files, levels, bench, clock, speed, ShutdownHook::add, err::println);
        NightRun.Finished finished;
        try (Watchers watchers = Watchers.open(watch, onEvent, files, start, out, err)) {
            try {
                finished = run.run(
                        new NightRun.Keeping(
                                records,
                                key,
                                Main.agent(),
                                provenance(files, simulated),
                                start.getOffset(),
                                (folder, ofSimulation) -> {
                                    record.set(folder);
                                    screen.simulated(ofSimulation);
                                    watchers.simulated(ofSimulation);
                                }),
                        watchers.with(screen));
            } catch (BenchException e) {
                err.println(e.getMessage());
                err.println("no record was begun; the heat stayed off");
                return Exit.BENCH_FAULT.code();
            } finally {
                screen.close();
            }
            watchers.sealed(finished);
        }
        out.print(ResultsText.text(finished.results()));
        String mark = finished.results().simulated() ? "SIMULATED  " : "";
        out.println(mark + finished.end().exit().text() + ": " + finished.end().reason());
        if (finished.sealed().isPresent()) {
            out.println(mark + "record " + finished.record() + " sealed by "
                    + key.signer().fingerprint());
            out.println(mark + "ledger head " + finished.sealed().get().ledgerHead()
                    + " (keep it elsewhere: it anchors all" + " records up to this one)");
        } else {
            err.println("record " + finished.record() + " is kept but NOT sealed: " + finished.sealingFault());
        }
        out.println(mark + Durations.text(clock.nanos() / 1e9) + (simulated ? " simulated" : "") + " in "
                + Durations.real(stopwatch.nanos() / 1e9));
        out.flush();
        return finished.end().exit().code();
    }

    private void refuseWhatMayNotRun(NightFiles files, boolean simulated) {
        if (!simulated && pace != null) {
            throw new Refusal(
                    "--pace is for the simulated bench; a real one runs at its own pace. Nothing was sent to the"
                            + " bench.");
        }
        if (pace != null && !(pace > 0)) {
            throw new Refusal("--pace must be above 0, found " + pace + ". Nothing was sent to the bench.");
        }
        if (!simulated) {
            List<Problem> problems = new ArrayList<>(files.problemsWhenStartedAt(now()));
            if (!attended) {
                problems.addAll(files.problemsWhenUnattended());
            }
            if (!problems.isEmpty()) {
                throw new Refusal(NightOptions.text(problems)
                        + (attended
                                ? ""
                                : "\nWith --attended somebody stays beside the bench; the record then says so."));
            }
        }
    }

    private static OffsetDateTime now() {
        return new SystemClock().wall().atZone(ZoneId.systemDefault()).toOffsetDateTime();
    }

    private static Clock clock(NightFiles files, double speed) {
        if (files.bench().simulation().isEmpty()) {
            return new SystemClock();
        }
        OffsetDateTime start = files.bench().simulation().get().start();
        return Double.isFinite(speed)
                ? VirtualClock.paced(start.toInstant(), speed)
                : VirtualClock.unpaced(start.toInstant());
    }

    private Bench simulatedBench(NightFiles files, VirtualClock clock, PrintWriter out) {
        Transport transport = Pty.supported() ? Transport.PSEUDO_TERMINAL : Transport.IN_PROCESS;
        long seed = night.seed(files);
        out.println("SIMULATED  bench \"" + files.bench().name() + "\", fan set "
                + files.fans().set() + ", seed " + seed
                + (transport == Transport.PSEUDO_TERMINAL
                        ? ", over a pseudo-terminal"
                        : ", in this process (no pseudo-terminals here)"));
        out.flush();
        return SimulatedBench.create(
                files.bench(), files.fans().set(), files.fans().mount().number(), seed, clock, transport);
    }

    private static Bench realBench(NightFiles files, AtomicReference<Path> record) {
        return Benches.real(
                files.bench(),
                () -> record.get().resolve("data"),
                computer -> new ComputerDevice(computer.name(), files.bench(), new SystemClock()));
    }

    private Map<String, Object> provenance(NightFiles files, boolean simulated) {
        Map<String, Object> map = new LinkedHashMap<>();
        map.put("by", by);
        map.put("attended", attended);
        if (simulated) {
            map.put("seed", night.seed(files));
            map.put("pace", pace == null ? "unpaced" : Decimals.shortest(pace, 3));
        } else {
            map.put("load-containment", Loads.containment());
        }
        map.put("java", System.getProperty("java.vm.version"));
        map.put("host", HostFacts.ask());
        return map;
    }
}
