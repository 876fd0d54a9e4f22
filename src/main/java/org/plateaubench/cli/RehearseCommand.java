package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.time.OffsetDateTime;
import java.util.concurrent.Callable;
import org.plateaubench.night.ManyNights;
import org.plateaubench.night.ManyNightsJson;
import org.plateaubench.night.Rehearsal;
import org.plateaubench.night.RehearsalJson;
import org.plateaubench.plan.NightFiles;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Spec;

/** Shows a night before it is run. */
@Command(
        name = "rehearse",
        mixinStandardHelpOptions = true,
        footer = {
            "",
            "Examples:",
            "  plateau rehearse protocols/first-night.yaml",
            "  plateau rehearse protocols/first-night.yaml --nights 40"
        },
        description = {
            "Shows when each stage would begin, where the time goes, what fits before finish-by, how much disk it"
                    + " needs, and when a person is needed.",
            "With --nights many seeded nights are rehearsed and judged by the simulator's truth: what can this plan"
                    + " resolve, and where do repeats pay?"
        })
final class RehearseCommand implements Callable<Integer> {

    /** Progress is told so often. */
    private static final int PROGRESS_STEPS = 20;

    @Mixin
    private NightOptions night;

    @Option(
            names = "--nights",
            paramLabel = "N",
            description = "how many seeded nights, 2 or more; --seed is the first seed")
    private Integer nights;

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() throws IOException {
        NightFiles files = night.read();
        OffsetDateTime now = NightRunner.now();
        String text = nights == null ? once(files, now) : often(files, now);
        PrintWriter out = spec.commandLine().getOut();
        out.print(text);
        out.flush();
        return Main.DONE;
    }

    private String once(NightFiles files, OffsetDateTime now) throws IOException {
        Rehearsal rehearsal = Rehearsal.of(files, night.seed(files), now);
        return json ? RehearsalJson.of(rehearsal) : RehearsalText.of(files, rehearsal);
    }

    private String often(NightFiles files, OffsetDateTime now) {
        if (nights < 2) {
            throw new Refusal("--nights: found " + nights + "; needs 2 or more");
        }
        if (files.plan().thermal().isEmpty()) {
            throw new Refusal("--nights: the plan has no thermal measurement, so there is no rise to judge");
        }
        PrintWriter err = spec.commandLine().getErr();
        int all = 2 * nights;
        int every = Math.max(1, all / PROGRESS_STEPS);
        ManyNights many = ManyNights.of(files, nights, night.seed(files), now, done -> {
            if (done % every == 0 || done == all) {
                err.println(done + " of " + all + " rehearsals, two a night");
            }
        });
        return json ? ManyNightsJson.of(many) : ManyNightsText.of(files, many);
    }
}
