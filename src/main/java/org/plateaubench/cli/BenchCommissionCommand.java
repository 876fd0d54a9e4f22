package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.concurrent.Callable;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Commissioning;
import org.plateaubench.engine.Exit;
import org.plateaubench.equilibrium.LongSoak;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.problem.YamlEdit;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.results.CommissioningSoak;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Finds the time constants of a bench by a long soak and writes them into the bench file. */
@Command(
        name = "commission",
        mixinStandardHelpOptions = true,
        header = "Finds how slow a bench is by a soak of hours, and writes it into the bench file.",
        description = {
            "Idle equilibrium, then hours under heat at one speed, recorded and sealed like every run. Two decays are"
                    + " fitted to the approach, with the lag of the ambient probes where the room's temperature moved"
                    + " enough to tell it. What stood in the bench file before is kept as a comment.",
            "Without it a result says: settled; slow mode not excluded. Exit codes as those of run, and 1 if the soak"
                    + " shows no approach."
        },
        footer = {
            "",
            "Examples:",
            "  plateau bench commission my-bench.yaml --fans protocols/fans/a.yaml \\",
            "      --heat compile",
            "  plateau bench commission"
        })
final class BenchCommissionCommand implements Callable<Integer> {

    /** Where no slow mode shows the slow time constant is set to so many fast ones, which makes bounds larger. */
    private static final double SAFE_RATIO = 4.0;

    @Parameters(
            paramLabel = "BENCH",
            arity = "0..1",
            description =
                    "the bench file; it is changed. Without it the simulated bench is used and nothing is written")
    private Path bench;

    @Option(
            names = "--fans",
            paramLabel = "FILE",
            description = "which fan set is mounted; the simulated bench has set A")
    private Path fans;

    @Option(
            names = "--heat",
            paramLabel = "POWER-OR-WORKLOAD",
            description =
                    "such as \"200 W\" of the bench's supply, or the name of a workload of the bench file; default:"
                            + " its first workload, or else 200 W")
    private String heat;

    @Option(
            names = "--speed",
            paramLabel = "SPEED",
            defaultValue = "1100 rpm",
            description = "of the fans; in the middle of what will be measured; default ${DEFAULT-VALUE}")
    private String speed;

    @Option(
            names = "--pump",
            paramLabel = "SPEED",
            defaultValue = "2700 rpm",
            description = "of the pump, as in the plans; default ${DEFAULT-VALUE}")
    private String pump;

    @Option(
            names = "--hours",
            paramLabel = "N",
            defaultValue = "4",
            description = "under heat, 3 to 12; default ${DEFAULT-VALUE}")
    private int hours;

    @Option(names = "--seed", paramLabel = "SEED", description = "of a simulated night, instead of the bench file's")
    private Long seed;

    @Option(names = "--records", paramLabel = "DIR", defaultValue = "records", description = "folder of the records")
    private Path records;

    @Option(names = "--dry-run", description = "show what was found, leave the file as it is")
    private boolean dryRun;

    @Mixin
    private RunOptions options;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        SourceText benchText = BenchFileArgument.text(bench);
        NightFiles files = files(benchText);
        long ofNight = seed != null ? seed : NightOptions.usualSeed(files);
        NightRunner runner = new NightRunner(files, options, ofNight, Optional.empty(), spec);
        Optional<NightRun.Finished> finished = runner.run(
                records,
                Keys.forRun(spec.commandLine().getErr()),
                Optional.empty(),
                Map.of("commissioning", true),
                NightRun::run);
        if (finished.isEmpty()) {
            return Exit.BENCH_FAULT.code();
        }
        int code = finished.get().end().exit().code();
        if (code != Main.DONE) {
            return code;
        }
        Optional<LongSoak> soak =
                CommissioningSoak.of(files, RecordFolder.open(finished.get().record()));
        PrintWriter out = spec.commandLine().getOut();
        if (soak.isEmpty()) {
            spec.commandLine().getErr().println("the soak shows no approach to an equilibrium; nothing was written");
            return Main.WRONG;
        }
        String mark = ResultsText.mark(finished.get().results().simulated());
        out.print(text(mark, soak.get()));
        Commissioning found = commissioning(soak.get(), measured(files.bench()));
        out.println(mark + "commissioning: " + found.yaml());
        out.flush();
        if (bench != null && !dryRun) {
            try {
                BenchFileArgument.replace(bench, benchText, changed(benchText, files.bench(), found));
            } catch (Refusal e) {
                return notWritten(e.getMessage());
            } catch (IOException e) {
                return notWritten(Refusal.why(e));
            }
            out.println(mark + "written into " + bench + "; what stood there before is kept as a comment");
            out.flush();
        }
        return Main.DONE;
    }

    private int notWritten(String why) {
        spec.commandLine()
                .getErr()
                .println("NOT written into " + bench + ": " + why
                        + "\nThe soak was run and its record is sealed; put the commissioning above in by hand.");
        return Main.WRONG;
    }

    private NightFiles files(SourceText benchText) {
        BenchFile file = BenchFileArgument.read(benchText);
        if (fans == null) {
            NightOptions.refuseUnlessSimulated(file);
        }
        return NightOptions.files(
                new SourceText("commissioning plan", plan(file).getBytes(StandardCharsets.UTF_8)),
                NightOptions.textOr(fans, NightFiles::simulatedFans),
                benchText);
    }

    private String plan(BenchFile file) {
        if (hours < 3 || hours > 12) {
            throw new Refusal("--hours is 3 to 12, found " + hours);
        }
        String soak = hours + " h";
        return "title: Commissioning soak\n"
                + "purpose: How slow is this bench?\n"
                + "sample-every: 1 s\n"
                + "pump-lock: { speed: " + rpm("--pump", pump) + ", within: 2 %, for: 10 s }\n"
                + "heat: " + heatDemand(file) + "\n"
                + "measurements:\n"
                + "  - thermal:\n"
                + "      cooldown: { each: block, duty: 60 %, until: { slope: 1 K/h, window: 10 min, for: 2 min },"
                + " within-baseline: 0.5 K, at-least: 5 min, at-most: 60 min }\n"
                + "      soak: { until: { slope: 1 K/h, window: 15 min, for: 2 min }, at-least: " + soak + ", at-most: "
                + soak + " }\n"
                + "      dwell: { average: 10 min }\n"
                + "      steps: [ { speed: " + rpm("--speed", speed) + " } ]\n"
                + "      repeats: 1\n"
                + "      order: { kind: as-written, seed: 1 }\n";
    }

    private String heatDemand(BenchFile file) {
        Optional<String> power = Optional.ofNullable(heat)
                .flatMap(Quantity::parse)
                .filter(q -> q.unit().dimension() == Dimension.POWER)
                .map(Quantity::toString);
        if (power.isPresent()) {
            return "{ power: " + power.get() + " }";
        }
        if (heat != null && file.workload(heat).isEmpty()) {
            throw new Refusal("--heat: found " + heat + "; needs a power such as \"200 W\" or the name of a workload of"
                    + " the bench file");
        }
        return heat == null && file.workloads().isEmpty()
                ? "{ power: 200 W }"
                : "{ workload: " + (heat == null ? file.workloads().get(0).name() : heat) + " }";
    }

    private static String rpm(String option, String text) {
        return Quantity.parse(text)
                .filter(q -> q.unit().dimension() == Dimension.ROTATIONAL_SPEED)
                .map(Quantity::toString)
                .orElseThrow(() -> new Refusal(option + " needs a speed such as 1100 rpm, found " + text));
    }

    /** The day of the soak: on a simulated bench that of its own calendar. */
    private static LocalDate measured(BenchFile file) {
        return file.simulation()
                .map(s -> s.start().toLocalDate())
                .orElseGet(() -> NightRunner.now().toLocalDate());
    }

    private static String text(String mark, LongSoak soak) {
        StringBuilder text = new StringBuilder();
        text.append(mark)
                .append("loop: ")
                .append(seconds(soak.fastTimeConstantSeconds(), soak.fastErrorSeconds()))
                .append('\n');
        text.append(mark)
                .append(
                        soak.slowMode()
                                .map(s -> "slow mode: " + seconds(s.timeConstantSeconds(), s.errorSeconds()) + ", "
                                        + Decimals.fixed(100.0 * s.share(), 1) + " ± "
                                        + Decimals.fixed(100.0 * s.shareError(), 1) + " % of the rise\n")
                                .orElse(
                                        "no slow mode shows; " + Decimals.shortest(SAFE_RATIO, 0)
                                                + " times the loop's time constant is taken, which makes bounds larger, not smaller\n"));
        text.append(mark)
                .append(soak.probeLag()
                        .map(l -> "ambient probes lag by " + seconds(l.timeConstantSeconds(), l.errorSeconds()) + '\n')
                        .orElse("the ambient moved too little to tell by how much its probes lag\n"));
        return text.toString();
    }

    private static String seconds(double value, double standardError) {
        return Decimals.fixed(value, 0) + " ± " + Decimals.fixed(standardError, 0) + " s";
    }

    private static Commissioning commissioning(LongSoak soak, LocalDate measured) {
        double fast = StrictMath.rint(soak.fastTimeConstantSeconds());
        double slow = soak.slowMode()
                .map(s -> StrictMath.rint(s.timeConstantSeconds()))
                .orElse(SAFE_RATIO * fast);
        OptionalDouble lag = soak.probeLag().isPresent()
                ? OptionalDouble.of(StrictMath.max(
                        0.0, StrictMath.rint(soak.probeLag().get().timeConstantSeconds())))
                : OptionalDouble.empty();
        return new Commissioning(slow, fast, lag, measured);
    }

    private static String changed(SourceText benchText, BenchFile file, Commissioning found) {
        String text = new String(benchText.bytes(), StandardCharsets.UTF_8);
        List<String> path = List.of("commissioning");
        String set = YamlEdit.set(text, path, found.yaml());
        return file.commissioning()
                .map(before -> YamlEdit.commentAbove(set, path, "until " + found.measured() + ": " + before.yaml()))
                .orElse(set);
    }
}
