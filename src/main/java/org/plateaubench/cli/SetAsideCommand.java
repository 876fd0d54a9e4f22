package org.plateaubench.cli;

import java.io.IOException;
import java.util.List;
import java.util.concurrent.Callable;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Statement;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** Sets a pass aside. */
@Command(
        name = "set-aside",
        mixinStandardHelpOptions = true,
        description = "The pass stays in the record; 'withdraw' takes it back.",
        footer = {"", "Examples:", "  plateau set-aside RECORD 2.1/1 --reason \"a window was open, see note 1\""})
final class SetAsideCommand implements Callable<Integer> {

    @Mixin
    private Amending amending;

    @Parameters(index = "1", paramLabel = "PASS", description = "name of the pass, such as 2.1/1")
    private String pass;

    @Option(names = "--reason", paramLabel = "TEXT", required = true, description = "why")
    private String reason;

    @Override
    public Integer call() {
        List<String> counting = counting();
        if (!counting.contains(pass)) {
            throw new Refusal("no pass '" + pass + "' counts in this record; those that do are "
                    + String.join(", ", counting) + ". The record is unchanged.");
        }
        amending.add(new Statement.SetAside(pass, reason), List.of());
        amending.showResults();
        return Main.DONE;
    }

    private List<String> counting() {
        try {
            RecordFolder folder = RecordFolder.open(amending.record);
            return NightResults.of(RetraceCommand.files(folder), folder).passes().stream()
                    .filter(p -> p.thermal() && p.status() == PassResult.Status.DONE)
                    .map(PassResult::pass)
                    .toList();
        } catch (IOException e) {
            throw new Refusal(amending.record + " cannot be read: " + Refusal.why(e), e);
        }
    }
}
