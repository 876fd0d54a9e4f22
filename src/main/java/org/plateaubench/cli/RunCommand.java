package org.plateaubench.cli;

import java.nio.file.Path;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Input;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.SealingKey;
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
            "  plateau run protocols/first-night.yaml --fans protocols/fans/b.yaml --seed 7 \\",
            "      --pace 60",
            "  plateau run protocols/noise-matched-night.yaml --fans protocols/fans/b.yaml \\",
            "      --levels-from records/simulated/NAME",
            "  plateau run night.yaml --watch 127.0.0.1:8080 --on-event ./tell-my-phone",
            "  plateau run night.yaml --fans my-fans.yaml --bench my-bench.yaml \\",
            "      --by \"A. Technician\""
        })
final class RunCommand implements Callable<Integer> {

    @Mixin
    private NightOptions night;

    @Mixin
    private RunOptions options;

    @Option(names = "--records", paramLabel = "DIR", defaultValue = "records", description = "folder of the records")
    private Path records;

    @Option(
            names = "--levels-from",
            paramLabel = "RECORD",
            description =
                    "steps above the background take the own levels that they had in that record, so that fan sets"
                            + " of different nights are compared at equal noise")
    private Path levelsFrom;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        NightFiles files = night.read();
        NightRunner runner = new NightRunner(files, options, night.seed(files), Optional.empty(), spec);
        Optional<Input.LevelsFrom> levels =
                Optional.ofNullable(levelsFrom).map(record -> OtherNightLevels.read(record, files));
        SealingKey key = Keys.forRun(spec.commandLine().getErr());
        return runner.run(records, key, levels, Map.of(), NightRun::run)
                .map(finished -> finished.end().exit().code())
                .orElse(Exit.BENCH_FAULT.code());
    }
}
