package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.report.Report;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Makes a page of a record. */
@Command(
        name = "report",
        mixinStandardHelpOptions = true,
        description = {
            "The file needs nothing else: it can be sent, printed on A4, and read without a network. It says first what was"
                    + " found and how far it reaches, and last why it may be believed.",
            "The record stays as it is; a report never goes inside one."
        },
        footer = {
            "",
            "Examples:",
            "  plateau report records/simulated/20261124-211000-simulated-loop-a",
            "  plateau report records/20261124-221003-example-loop-a --out night.html"
        })
final class ReportCommand implements Callable<Integer> {

    @Parameters(paramLabel = "RECORD", description = "the record's folder")
    private Path record;

    @Option(names = "--out", paramLabel = "FILE", description = "where it goes; default: NAME.html in this folder")
    private Path out;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        if (!Files.isDirectory(record)) {
            throw new Refusal(record + " is no folder; the folder of a record is needed");
        }
        PrintWriter said = spec.commandLine().getOut();
        try {
            Path file = out != null ? out : Path.of(RecordFolder.open(record).name() + ".html");
            Outside.of(record, file);
            String page = Report.html(record, Keys.trust(), Main.agent());
            Files.writeString(file, page);
            said.println(file);
            said.flush();
            return Main.DONE;
        } catch (IOException e) {
            throw new Refusal("no report of " + record + ": " + Refusal.why(e), e);
        }
    }
}
