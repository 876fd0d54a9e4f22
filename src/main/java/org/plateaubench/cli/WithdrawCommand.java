package org.plateaubench.cli;

import java.util.List;
import java.util.concurrent.Callable;
import org.plateaubench.record.Statement;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** Takes an amendment back. */
@Command(
        name = "withdraw",
        mixinStandardHelpOptions = true,
        description = "The amendment stays in the record, and so does this one; 'audit' lists both with their numbers.",
        footer = {"", "Examples:", "  plateau withdraw RECORD 2 --reason \"it was another night's window\""})
final class WithdrawCommand implements Callable<Integer> {

    @Mixin
    private Amending amending;

    @Parameters(index = "1", paramLabel = "NUMBER", description = "number of the amendment")
    private int number;

    @Option(names = "--reason", paramLabel = "TEXT", required = true, description = "why")
    private String reason;

    @Override
    public Integer call() {
        long amendments = amending.audit().records().get(0).amendments().size();
        if (number < 1 || number > amendments) {
            throw new Refusal("there is no amendment " + number + "; the record has " + amendments
                    + ". The record is unchanged.");
        }
        amending.add(new Statement.Withdrawal(number, reason), List.of());
        amending.showResults();
        return Main.DONE;
    }
}
