package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.time.ZoneId;
import java.util.concurrent.Callable;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.night.Rehearsal;
import org.plateaubench.plan.NightFiles;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** Shows a night before it is run. */
@Command(
        name = "rehearse",
        mixinStandardHelpOptions = true,
        description =
                "Shows when each stage would begin, where the time goes, what fits before finish-by, how much disk it"
                        + " needs, and when a person is needed.")
final class RehearseCommand implements Callable<Integer> {

    @Mixin
    private NightOptions night;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        NightFiles files = night.read();
        Rehearsal rehearsal = Rehearsal.of(
                files,
                night.seed(files),
                new SystemClock().wall().atZone(ZoneId.systemDefault()).toOffsetDateTime());
        PrintWriter out = spec.commandLine().getOut();
        out.print(RehearsalText.of(files, rehearsal));
        out.flush();
        return Main.DONE;
    }
}
