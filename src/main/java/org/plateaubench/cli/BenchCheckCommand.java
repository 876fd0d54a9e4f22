package org.plateaubench.cli;

import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.Callable;
import java.util.concurrent.atomic.AtomicBoolean;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.check.BenchCheck;
import org.plateaubench.bench.check.Check;
import org.plateaubench.bench.check.Check.Verdict;
import org.plateaubench.bench.computer.ComputerDevice;
import org.plateaubench.bench.serial.ShutdownHook;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.record.Json;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Tries a bench before its first night. */
@Command(
        name = "check",
        mixinStandardHelpOptions = true,
        footer = {"", "Examples:", "  plateau bench check", "  plateau bench check my-bench.yaml"},
        header = "Tries a bench: channels, actuators, cut-offs, safe state, timing; says what to fix.",
        description =
                "Stay beside it. It takes a few minutes: every channel is read, every actuator moved a little and back, and"
                        + " where a cut-off is declared the program falls silent on purpose and sees whether it acts."
                        + " Heat is 20 W of the supply, and only for its cut-off. Exit code 1 if something must be fixed.")
final class BenchCheckCommand implements Callable<Integer> {

    @Parameters(
            paramLabel = "BENCH",
            arity = "0..1",
            description = "the bench file; without it the simulated bench is used")
    private Path bench;

    @Option(
            names = "--set",
            paramLabel = "SET",
            defaultValue = "A",
            description = "fan set that is mounted on a simulated bench")
    private String set;

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        BenchFile file = BenchFileArgument.read(bench);
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        boolean simulated = file.simulation().isPresent();
        Clock clock =
                simulated ? VirtualClock.unpaced(file.simulation().get().start().toInstant()) : new SystemClock();
        List<Check> checks;
        boolean ofSimulation;
        try (Bench opened = simulated ? simulated(file, (VirtualClock) clock) : real(file)) {
            AtomicBoolean over = new AtomicBoolean();
            if (!simulated) {
                ShutdownHook.add(new Thread(() -> {
                    if (!over.get()) {
                        opened.makeSafe(false);
                    }
                }));
            }
            BenchCheck check = new BenchCheck(opened, clock, line -> {
                err.println(line);
                err.flush();
            });
            checks = check.run();
            ofSimulation = check.simulated();
            over.set(true);
        }
        out.print(json ? Json.page(fields(file, ofSimulation, checks)) : text(file, ofSimulation, checks));
        out.flush();
        return checks.stream().anyMatch(c -> c.verdict() == Verdict.FIX) ? Main.WRONG : Main.DONE;
    }

    private Bench simulated(BenchFile file, VirtualClock clock) {
        return SimulatedBench.create(file, set, file.simulation().orElseThrow().seed(), clock, Transport.IN_PROCESS);
    }

    private static Bench real(BenchFile file) {
        return Benches.real(
                file,
                () -> {
                    throw new IllegalStateException("a check starts no workload");
                },
                computer -> new ComputerDevice(computer.name(), file, new SystemClock()));
    }

    private static String text(BenchFile file, boolean simulated, List<Check> checks) {
        String mark = ResultsText.mark(simulated);
        TextTable table = new TextTable("what", "", "found");
        checks.forEach(c -> table.row(c.subject(), c.verdict().text(), c.found()));
        StringBuilder text = new StringBuilder(mark + "Check of \"" + file.name() + "\"\n").append(table.text());
        remedies(text, "To fix:", checks, Verdict.FIX);
        remedies(text, "Worth knowing:", checks, Verdict.NOTE);
        long fixes = checks.stream().filter(c -> c.verdict() == Verdict.FIX).count();
        return text.append(mark)
                .append(
                        fixes == 0
                                ? "nothing must be fixed"
                                : fixes + (fixes == 1 ? " thing must" : " things must") + " be fixed before a night")
                .append('\n')
                .toString();
    }

    private static void remedies(StringBuilder text, String head, List<Check> checks, Verdict verdict) {
        List<String> lines = checks.stream()
                .filter(c -> c.verdict() == verdict && !c.remedy().isEmpty())
                .map(c -> "  " + c.subject() + ": " + c.remedy() + "\n")
                .distinct()
                .toList();
        if (!lines.isEmpty()) {
            text.append(head).append('\n');
            lines.forEach(text::append);
        }
    }

    private static Map<String, Object> fields(BenchFile file, boolean simulated, List<Check> checks) {
        List<Map<String, Object>> rows = new ArrayList<>();
        for (Check check : checks) {
            Map<String, Object> row = new LinkedHashMap<>();
            row.put("what", check.subject());
            row.put("verdict", check.verdict().name().toLowerCase(Locale.ROOT));
            row.put("found", check.found());
            row.put("remedy", check.remedy());
            rows.add(row);
        }
        Map<String, Object> page = new LinkedHashMap<>();
        page.put("bench", file.name());
        page.put("simulated", simulated);
        page.put("checks", rows);
        return page;
    }
}
