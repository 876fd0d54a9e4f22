package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import picocli.CommandLine;

/** Completion as bash does it, and what every command's help has. */
class CompletionTest {

    @TempDir
    private Path folder;

    private static String run(String... args) {
        StringWriter out = new StringWriter();
        assertEquals(0, Main.run(new PrintWriter(out), new PrintWriter(out, true), args), out.toString());
        return out.toString();
    }

    /** What bash offers for the last of the words. */
    private List<String> offered(String... words) throws IOException, InterruptedException {
        Path script = folder.resolve("completion.sh");
        Files.writeString(script, run("completion"));
        // What steers a terminal complains where there is none.
        String typed = String.join(" ", words);
        String asked = "source '" + script + "'; how=$(complete -p plateau); how=${how##*-F }; COMP_WORDS=("
                + "'" + String.join("' '", words) + "'); COMP_CWORD=" + (words.length - 1) + "; COMP_LINE='" + typed
                + "'; COMP_POINT=" + typed.length() + "; COMPREPLY=(); ${how%% *} plateau '" + words[words.length - 1]
                + "' '" + words[words.length - 2] + "' 2>/dev/null; printf '%s\\n' \"${COMPREPLY[@]}\"";
        Process bash = new ProcessBuilder("bash", "--norc", "--noprofile", "-c", asked)
                .redirectErrorStream(true)
                .start();
        String said = new String(bash.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertTrue(bash.waitFor(20, TimeUnit.SECONDS), said);
        return said.lines().map(String::strip).toList();
    }

    @Test
    void bashCompletesCommandsAndOptions() throws Exception {
        Wants.program("bash");
        assertEquals(
                List.of("rehearse", "replay", "report", "resume", "retrace"),
                offered("plateau", "re").stream().sorted().toList());
        assertEquals(List.of("--watch"), offered("plateau", "run", "--wa"));
        assertEquals(List.of("--html"), offered("plateau", "compare", "--ht"));
        assertEquals(
                List.of("calibrate", "check", "commission"),
                offered("plateau", "bench", "c").stream().sorted().toList());
    }

    @Test
    void theHelpOfEveryCommandHasAnExample() {
        everyCommand(Main.whole(), "plateau");
    }

    private static void everyCommand(CommandLine command, String name) {
        String help = command.getUsageMessage();
        assertTrue(help.matches("(?s).*\nExamples:\n  [^\n]*plateau .*"), name + ":\n" + help);
        for (String line : help.lines().toList()) {
            assertTrue(line.length() <= 100, name + ": " + line);
        }
        command.getSubcommands().forEach((sub, each) -> everyCommand(each, name + " " + sub));
    }
}
