package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.time.ZoneId;
import java.util.concurrent.Callable;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.night.Rehearsal;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.units.Decimals;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** Shows a night before it is run. */
@Command(
        name = "rehearse",
        mixinStandardHelpOptions = true,
        header = "Goes through a night in simulated time, without touching a bench.",
        description = "Shows when each stage would begin, how long the night takes, what fits before finish-by, and how"
                + " much disk it needs.")
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
        out.print(text(files, rehearsal));
        out.flush();
        return Main.DONE;
    }

    private static String text(NightFiles files, Rehearsal r) {
        StringBuilder text = new StringBuilder();
        text.append("REHEARSED on a simulated twin of \"")
                .append(files.bench().name())
                .append("\": ")
                .append(files.plan().title())
                .append(", fan set ")
                .append(files.fans().set())
                .append('\n');
        TextTable timeline = new TextTable("begins", "stage", "pass", "step", ">takes");
        for (Rehearsal.Entry e : r.timeline()) {
            timeline.row(
                    ProgressScreen.CLOCK.format(r.start().plusSeconds(Math.round(e.beginSeconds()))),
                    e.stage(),
                    e.pass().isEmpty() ? "-" : e.pass(),
                    e.step().isEmpty() ? "-" : e.step(),
                    Durations.text(e.endSeconds() - e.beginSeconds()));
        }
        text.append(timeline.text());
        text.append("  takes ")
                .append(Durations.text(r.seconds()))
                .append(", from ")
                .append(ProgressScreen.CLOCK.format(r.start()))
                .append(" to ")
                .append(ProgressScreen.CLOCK.format(r.start().plusSeconds(Math.round(r.seconds()))));
        files.plan().finishBy().ifPresent(t -> text.append("; finish-by ").append(t));
        text.append('\n');
        text.append("  passes that fit: ")
                .append(r.passesDone())
                .append(" of ")
                .append(r.passesPlanned())
                .append('\n');
        text.append("  disk needed: about ")
                .append(Decimals.fixed(r.bytes() / 1e6, 1))
                .append(" MB\n");
        text.append("  a person is needed: to start, and not again\n");
        if (!r.reason().isEmpty() && r.passesDone() < r.passesPlanned()) {
            text.append("  ends as: ").append(r.reason()).append('\n');
        }
        return text.toString();
    }
}
