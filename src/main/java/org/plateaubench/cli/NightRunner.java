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
import org.plateaubench.engine.Input;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Problem;
import org.plateaubench.record.SealingKey;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;
import picocli.CommandLine.Model.CommandSpec;

/** What the commands that run a night have in common: what may not run, clock and bench, what is said in the end. */
final class NightRunner {

    private final NightFiles files;
    private final boolean simulated;
    private final boolean begins;
    private final RunOptions options;
    private final long seed;
    private final OffsetDateTime start;
    private final PrintWriter out;
    private final PrintWriter err;

    /**
     * A night of these files.
     *
     * @param files plan, fans and bench file
     * @param options the command's options
     * @param seed seed of a simulated night
     * @param begun when it began, if it goes on
     * @param spec the command
     * @throws Refusal if the options do not fit the bench, or the plan cannot be run; nothing was sent to the bench
     */
    NightRunner(NightFiles files, RunOptions options, long seed, Optional<OffsetDateTime> begun, CommandSpec spec) {
        this.files = files;
        this.simulated = files.bench().simulation().isPresent();
        this.begins = begun.isEmpty();
        this.options = options;
        this.seed = seed;
        this.start = simulated ? files.bench().simulation().get().start() : begun.orElseGet(NightRunner::now);
        this.out = spec.commandLine().getOut();
        this.err = spec.commandLine().getErr();
        refuseWhatMayNotRun();
    }

    private void refuseWhatMayNotRun() {
        Double pace = options.pace;
        if (!simulated && pace != null) {
            throw new Refusal(
                    "--pace is for the simulated bench; a real one runs at its own pace. Nothing was sent to the"
                            + " bench.");
        }
        if (pace != null && !(pace > 0)) {
            throw new Refusal("--pace must be above 0, found " + pace + ". Nothing was sent to the bench.");
        }
        if (!simulated) {
            List<Problem> problems = new ArrayList<>();
            if (begins) {
                problems.addAll(files.problemsWhenStartedAt(start));
            }
            if (!options.attended) {
                problems.addAll(files.problemsWhenUnattended());
            }
            if (!problems.isEmpty()) {
                throw new Refusal(NightOptions.text(problems)
                        + (options.attended
                                ? ""
                                : "\nWith --attended somebody stays beside the bench; the record then says so."));
            }
        }
    }

    /** What time it is here. */
    static OffsetDateTime now() {
        return new SystemClock().wall().atZone(ZoneId.systemDefault()).toOffsetDateTime();
    }

    /** What is done with a night that is ready to run. */
    interface Work {
        NightRun.Finished of(NightRun night, NightRun.Keeping keeping, NightListener listener)
                throws BenchException, IOException;
    }

    /**
     * Runs, and says how it ended.
     *
     * @param records the folder of records
     * @param key the key that seals
     * @param levels own levels of another night, if its level steps shall be those of that night
     * @param facts more for the record's provenance, in order
     * @param work what to do
     * @return how it ended; empty if the bench could not be used, which was said
     * @throws Refusal if the record could not be begun or gone on with; nothing was set
     */
    Optional<NightRun.Finished> run(
            Path records, SealingKey key, Optional<Input.LevelsFrom> levels, Map<String, Object> facts, Work work) {
        double speed = !simulated ? 1.0 : options.pace == null ? Double.POSITIVE_INFINITY : options.pace;
        Clock clock = clock(speed);
        SystemClock stopwatch = new SystemClock();
        AtomicReference<Path> record = new AtomicReference<>();
        Bench bench = simulated ? simulatedBench((VirtualClock) clock) : realBench(record);
        ProgressScreen screen = new ProgressScreen(out, Terminal.ofThisProcess(), start);
        NightRun night = new NightRun(files, levels, bench, clock, speed, ShutdownHook::add, err::println);
        NightRun.Finished finished;
        try (Watchers watchers = Watchers.open(options.watch, options.onEvent, files, start, out, err)) {
            NightRun.Keeping keeping = new NightRun.Keeping(
                    records,
                    key,
                    Main.agent(),
                    provenance(facts),
                    simulated ? start.getOffset() : ZoneId.systemDefault(),
                    (folder, ofSimulation) -> {
                        record.set(folder);
                        screen.simulated(ofSimulation);
                        watchers.simulated(ofSimulation);
                    });
            finished = work.of(night, keeping, watchers.with(screen));
            watchers.sealed(finished);
        } catch (BenchException e) {
            err.println(e.getMessage());
            err.println(
                    record.get() == null
                            ? "no record was begun; the heat stayed off"
                            : "the record " + record.get() + " is kept; 'resume' goes on with it");
            return Optional.empty();
        } catch (IOException e) {
            throw new Refusal(Refusal.why(e) + "\n" + afterwards(record.get()), e);
        } finally {
            screen.close();
        }
        say(finished, key);
        out.println(mark(finished) + Durations.text(clock.nanos() / 1e9) + (simulated ? " simulated" : "") + " in "
                + Durations.real(stopwatch.nanos() / 1e9));
        out.flush();
        return Optional.of(finished);
    }

    /** What became of bench and record where the record could not be begun, gone on with or closed. */
    private String afterwards(Path record) {
        if (!begins) {
            return "nothing was set; the record can still be gone on with";
        }
        return record == null
                ? "no record was begun; nothing was set"
                : "the bench was made safe; the record " + record + " is kept, 'resume' goes on with it";
    }

    private static String mark(NightRun.Finished finished) {
        return ResultsText.mark(finished.results().simulated());
    }

    private void say(NightRun.Finished finished, SealingKey key) {
        String mark = mark(finished);
        out.print(ResultsText.text(finished.results()));
        out.println(mark + finished.end().exit().text() + ": " + finished.end().reason());
        if (finished.sealed().isPresent()) {
            out.println(mark + "record " + finished.record() + " sealed by "
                    + key.signer().fingerprint());
            out.println(mark + "ledger head " + finished.sealed().get().ledgerHead()
                    + " (keep it elsewhere: it anchors all" + " records up to this one)");
        } else {
            err.println("record " + finished.record() + " is kept but NOT sealed: " + finished.sealingFault());
            err.println(
                    "what made the bench safe stands above; once there is room, 'resume' goes on from the last checkpoint");
        }
    }

    private Clock clock(double speed) {
        if (!simulated) {
            return new SystemClock();
        }
        return Double.isFinite(speed)
                ? VirtualClock.paced(files.bench().simulation().get().start().toInstant(), speed)
                : VirtualClock.unpaced(files.bench().simulation().get().start().toInstant());
    }

    private Bench simulatedBench(VirtualClock clock) {
        Transport transport = Pty.supported() ? Transport.PSEUDO_TERMINAL : Transport.IN_PROCESS;
        out.println("SIMULATED  bench \"" + files.bench().name() + "\", fan set "
                + files.fans().set() + ", seed " + seed
                + (transport == Transport.PSEUDO_TERMINAL
                        ? ", over a pseudo-terminal"
                        : ", in this process (no pseudo-terminals here)"));
        out.flush();
        return SimulatedBench.create(
                files.bench(), files.fans().set(), files.fans().mount().number(), seed, clock, transport);
    }

    private Bench realBench(AtomicReference<Path> record) {
        return Benches.real(
                files.bench(),
                () -> record.get().resolve("data"),
                computer -> new ComputerDevice(computer.name(), files.bench(), new SystemClock()));
    }

    private Map<String, Object> provenance(Map<String, Object> more) {
        Map<String, Object> map = new LinkedHashMap<>();
        map.put("by", options.by);
        map.put("attended", options.attended);
        if (simulated) {
            map.put("seed", seed);
            map.put("pace", options.pace == null ? "unpaced" : Decimals.shortest(options.pace, 3));
        } else {
            map.put("load-containment", Loads.containment());
        }
        map.put("java", System.getProperty("java.vm.version"));
        map.put("host", HostFacts.ask());
        map.putAll(more);
        return map;
    }
}
