package org.plateaubench.cli;

import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** What is done with a bench before its first night. */
@Command(
        name = "bench",
        mixinStandardHelpOptions = true,
        header = "Before the first night: simulates a bench for other programs.")
final class BenchCommand implements Callable<Integer> {

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        spec.commandLine().usage(spec.commandLine().getOut());
        return Main.USAGE;
    }
}
