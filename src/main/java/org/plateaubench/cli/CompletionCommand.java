package org.plateaubench.cli;

import java.io.PrintWriter;
import java.util.concurrent.Callable;
import picocli.AutoComplete;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** Prints what lets a shell complete commands and options. */
@Command(
        name = "completion",
        mixinStandardHelpOptions = true,
        description = "For bash, and for zsh once it has loaded bashcompinit. There is none for fish.",
        footer = {
            "",
            "Examples:",
            "  source <(plateau completion)",
            "  autoload -U bashcompinit; bashcompinit; source <(plateau completion)",
            "  plateau completion >> ~/.bash_completion"
        })
final class CompletionCommand implements Callable<Integer> {

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        out.print(AutoComplete.bash("plateau", Main.whole()));
        out.flush();
        return Main.DONE;
    }
}
