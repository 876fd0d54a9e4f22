package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import org.plateaubench.clock.Deadline;
import org.plateaubench.night.StopRequest;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordWriter;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Asks a running night to end. */
@Command(
        name = "stop",
        mixinStandardHelpOptions = true,
        footer = {"", "Examples:", "  plateau stop records/20261124-221003-example-loop-a --wait \"2 min\""},
        description =
                "The night makes its bench safe and seals its record. Exit code 1 if it has not done so in time; the"
                        + " request stays.")
final class StopCommand implements Callable<Integer> {

    private static final long POLL_MILLIS = 100;

    @Parameters(paramLabel = "RECORD", description = "the record's folder")
    private Path record;

    @Option(names = "--by", paramLabel = "NAME", description = "who asks; default: the user's name")
    private String by = System.getProperty("user.name");

    @Option(
            names = "--wait",
            paramLabel = "DURATION",
            defaultValue = "60 s",
            description = "how long to wait for the end; default: ${DEFAULT-VALUE}")
    private String patience;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        double seconds = ResumeCommand.seconds(patience);
        try {
            RecordFolder folder = RecordFolder.open(record);
            if (!RecordWriter.writing(record)) {
                throw new Refusal(
                        folder.sealed()
                                ? "the record is sealed: its night is over"
                                : "no night is running on this record; 'resume' goes on with it or seals it");
            }
            StopRequest.beside(record).make(by);
            Deadline deadline = Deadline.afterMillis(Math.round(seconds * 1000));
            while (RecordWriter.writing(record) && !deadline.passed()) {
                Deadline.afterMillis(POLL_MILLIS).await();
            }
            boolean sealed = folder.sealed();
            out.println(sealed ? "ended and sealed" : "asked; the night has not ended within " + patience);
            out.flush();
            return sealed ? Main.DONE : Main.WRONG;
        } catch (IOException e) {
            throw new Refusal(record + " cannot be asked: " + Refusal.why(e), e);
        }
    }
}
