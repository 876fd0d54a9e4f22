package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.PrintWriter;
import java.io.StringWriter;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.watch.EventCommand;
import picocli.CommandLine;
import picocli.CommandLine.Model.OptionSpec;

/** Regression: what is said of a command line that is wrong, and that every command is told of alike. */
class UsageProblemTest {

    private static final String PLAN = "protocols/quick-look.yaml";

    private record Run(int exit, String text) {}

    private static Run run(String... args) {
        StringWriter text = new StringWriter();
        PrintWriter writer = new PrintWriter(text, true);
        int exit = Main.run(writer, writer, args);
        writer.flush();
        return new Run(exit, text.toString());
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '"', textBlock = """
            run PLAN --pace fast         | --pace: found 'fast'; needs a number
            run PLAN --seed 1.5          | --seed: found '1.5'; needs a whole number
            rehearse PLAN --nights many  | --nights: found 'many'; needs a whole number
            bench ports --baud x         | --baud: found 'x'; needs a whole number
            withdraw R two --reason why  | NUMBER: found 'two'; needs a whole number
            audit R --since yesterday    | --since: found 'yesterday'; needs a day, such as 2026-11-24
            audit R --plans              | --plans has no value behind it; needs FILE
            audit                        | RECORD-OR-DIR is missing
            note R                       | TEXT is missing
            set-aside R 2.1/1            | --reason TEXT is missing
            compare R                    | RECORD is needed twice or more
            run PLAN PLAN                | 'PLAN' is one word too many for plateau run
            run PLAN --pase 3            | '--pase' is no option of plateau run; did you mean --pace?
            run PLAN --seed 1 --seed 2   | --seed stands there more than once; once is enough
            rehearsal PLAN               | 'rehearsal' is no command of plateau; did you mean
            bench chek                   | 'chek' is no command of plateau bench; did you mean
            """)
    void whatIsWrongIsSaidInOneLine(String command, String expected) {
        Run run = run(command.replace("PLAN", PLAN).split(" "));
        assertEquals(2, run.exit(), run.text());
        assertTrue(run.text().startsWith(expected.replace("PLAN", PLAN)), run.text());
        assertTrue(run.text().contains("\nNothing was sent to the bench. 'plateau"), run.text());
        assertEquals(2, run.text().lines().count(), run.text());
    }

    static Stream<CommandLine> commands() {
        return all(Main.whole());
    }

    private static Stream<CommandLine> all(CommandLine line) {
        return Stream.concat(
                Stream.of(line), line.getSubcommands().values().stream().flatMap(UsageProblemTest::all));
    }

    /** Of every option of every command, so that a new type of option is not told of in the library's words. */
    @ParameterizedTest
    @MethodSource("commands")
    void noOptionIsRefusedInWordsOfTheLanguage(CommandLine command) {
        String[] name = command.getCommandSpec().qualifiedName().split(" ");
        for (OptionSpec option : command.getCommandSpec().options()) {
            if (option.arity().max() == 0) {
                continue;
            }
            String[] args = Stream.concat(
                            Stream.of(name).skip(1), Stream.of(option.longestName() + "=\0", "--no-such-option"))
                    .toArray(String[]::new);
            Run run = run(args);
            assertEquals(2, run.exit(), run.text());
            assertFalse(run.text().contains("java.") || run.text().contains("Invalid value"), run.text());
        }
    }

    /** A line that the help breaks cannot be copied: a shell takes its rest for another command. */
    @ParameterizedTest
    @MethodSource("commands")
    void examplesAreShownAsTheyStand(CommandLine command) {
        String help = command.getUsageMessage();
        for (String line : command.getCommandSpec().usageMessage().footer()) {
            assertTrue(help.lines().anyMatch(line::equals), line);
        }
    }

    @ParameterizedTest
    @MethodSource("commands")
    void everyCommandKnowsItsVersion(CommandLine command) {
        String[] name = (command.getCommandSpec().qualifiedName() + " --version").split(" ");
        Run run = run(Stream.of(name).skip(1).toArray(String[]::new));
        assertEquals(0, run.exit());
        assertTrue(run.text().startsWith("Plateau "), run.text());
    }

    @ParameterizedTest
    @CsvSource({
        "audit nothere, nothere is no folder",
        "retrace nothere, nothere cannot be read: nothere: there is no such file or folder",
        "retrace protocols, bag-info.txt: there is no such file or folder",
        "stop nothere, nothere: there is no such file or folder",
        "resume nothere, nothere: there is no such file or folder",
        "compare nothere nothere, nothere: there is no such file or folder",
        "report protocols, bag-info.txt: there is no such file or folder",
        "audit protocols --plans nothere, nothere: there is no such file or folder",
        "note protocols text, bag-info.txt: there is no such file or folder",
        "set-aside protocols 1.1/1 --reason why, bag-info.txt: there is no such file or folder",
        "sign-off protocols text, bag-info.txt: there is no such file or folder",
        "withdraw protocols 1 --reason why, bag-info.txt: there is no such file or folder",
        "bench simulate --write nothere/x.yaml, nothere/x.yaml: there is no such file or folder",
        "bench new nothere/x.yaml --yes --controller /dev/ttyNothere --identity none, nothere/x.yaml: there is no such",
    })
    void whatCouldNotBeReadIsSaidWithWhatWasFound(String command, String expected) {
        Run run = run(command.split(" "));
        assertEquals(2, run.exit(), run.text());
        assertTrue(run.text().contains(expected), run.text());
    }

    @ParameterizedTest
    @ValueSource(strings = {"create", "trust pom.xml"})
    void aNameThatNoTrustFileHoldsMakesNoKey(String command) {
        for (String name : List.of("", " ", "two\nlines", "x".repeat(101))) {
            Run run = run(Stream.concat(Stream.of(("key " + command).split(" ")), Stream.of("--name", name))
                    .toArray(String[]::new));
            assertEquals(2, run.exit(), run.text());
            assertTrue(run.text().contains("No key was made, and the trust file is unchanged."), run.text());
        }
    }

    @Test
    void aKeyIsNotTrustedForATimeThatEndsBeforeItBegins() {
        String time = "2026-01-01T00:00:00Z";
        Run run = run("key", "trust", "pom.xml", "--name", "x", "--from", time, "--until", time);
        assertEquals(2, run.exit(), run.text());
        assertTrue(run.text().contains("needs a time after --from, " + time + "; the trust file is unchanged"));
    }

    /** All amendments go the same way. */
    @ParameterizedTest
    @ValueSource(strings = {"", " ", "\n"})
    void whatSaysNothingIsNotSigned(String nothing) {
        Run run = run("note", "protocols", nothing);
        assertEquals(2, run.exit(), run.text());
        assertTrue(run.text().contains("found nothing in it. The record is unchanged."), run.text());
    }

    @ParameterizedTest
    @CsvSource({
        "nothere.yaml, there is no such file",
        "protocols/quick-look.yaml, the key title is not known here",
        "hardware-notes/benches/modbus-loop.yaml, a real bench needs --fans FILE"
    })
    void whatIsWrongWithABenchFileIsSaidBeforeTheFansAreMissed(String bench, String expected) {
        Run run = run("rehearse", PLAN, "--bench", bench);
        assertEquals(2, run.exit(), run.text());
        assertTrue(run.text().contains(expected), run.text());
    }

    @Test
    void aSimulatedBenchFileHasSetAWithoutAFansFile() {
        Run run = run("rehearse", PLAN, "--bench", "hardware-notes/benches/simulated.yaml");
        assertEquals(0, run.exit(), run.text());
        assertTrue(run.text().contains("fan set A"), run.text());
    }

    @ParameterizedTest
    @CsvSource({"./nothere, false", "nothere-at-all, false", "'', false", "src, false", "pom.xml, false", "sh, true"})
    void aProgramForEventsIsLookedForBeforeTheNight(String program, boolean there) {
        assertEquals(there, EventCommand.runnable(program));
    }

    @Test
    void aProgramForEventsThatIsNotThereRefusesTheNight() {
        Run run = run("run", PLAN, "--on-event", "./nothere");
        assertEquals(2, run.exit(), run.text());
        assertTrue(run.text().contains("--on-event: found './nothere'; needs a program"), run.text());
        assertTrue(run.text().contains("Nothing was sent to the bench"), run.text());
    }
}
