package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.plateaubench.night.Retrace;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.record.RecordFolder;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Decides everything again. */
@Command(
        name = "retrace",
        mixinStandardHelpOptions = true,
        footer = {"", "Examples:", "  plateau retrace records/simulated/20261124-211000-simulated-loop-a"},
        description = {
            "Whether the bytes are those that were sealed is for 'audit' to say.",
            "Exit code 1 if a decision differs, 2 if the record was made by other rules."
        })
final class RetraceCommand implements Callable<Integer> {

    @Parameters(paramLabel = "RECORD", description = "the record's folder")
    private Path record;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        try {
            RecordFolder folder = RecordFolder.open(record);
            Optional<Retrace.Difference> difference = Retrace.of(files(folder), folder);
            if (difference.isEmpty()) {
                out.println("identical: every decision follows from the recorded inputs");
                return Main.DONE;
            }
            out.println("differs at tick " + difference.get().tick());
            out.println("  recorded: " + or(difference.get().recorded()));
            out.println("  decided:  " + or(difference.get().decided()));
            return Main.WRONG;
        } catch (Retrace.OtherRules e) {
            throw new Refusal(e.getMessage(), e);
        } catch (IOException e) {
            throw new Refusal(record + " cannot be read: " + Refusal.why(e), e);
        }
    }

    private static String or(String text) {
        return text.isEmpty() ? "nothing" : text;
    }

    /** The files that a record was made with. */
    static NightFiles files(RecordFolder folder) throws IOException {
        Parsed<NightFiles> files = NightFiles.recorded(folder::file);
        return files.value()
                .orElseThrow(() ->
                        new Refusal("the record's own files are refused:\n" + NightOptions.text(files.problems())));
    }
}
