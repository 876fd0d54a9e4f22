package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.function.Predicate;
import java.util.function.Supplier;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;

/** The command line of Plateau. */
@Command(
        name = "plateau",
        mixinStandardHelpOptions = true,
        header = "Runs test plans on a cooling-fan bench, unattended, and leaves signed records.",
        description = {
            "",
            "Without --bench a simulated bench is used, and everything it prints says SIMULATED.",
            "Heat, moving blades and liquid near mains can hurt: read",
            "hardware-notes/safety.md before the first night.",
            ""
        },
        footer = {
            "",
            "Examples:",
            "  plateau rehearse protocols/first-night.yaml",
            "  plateau run protocols/first-night.yaml",
            "  plateau report records/simulated/20261124-211000-simulated-loop-a",
            "  plateau audit records/simulated",
            "",
            "Exit codes: 0 done, 1 checked and found wrong, 2 usage or files wrong (nothing",
            "sent to the bench), 3 ended early and made safe, 4 bench fault, 5 passes",
            "missing, 70 an error of this program."
        })
public final class Main {

    /** Done. */
    static final int DONE = 0;
    /** Checked and found wrong. */
    static final int WRONG = 1;
    /** Usage, plan or bench file wrong; nothing was sent to the bench. */
    static final int USAGE = 2;
    /** A bug of ours. */
    static final int BUG = 70;

    /** A command with its header. Only the one that is called is loaded, so that the program starts fast. */
    private record Entry(String name, String header, Supplier<Object> command) {}

    private static final List<Entry> COMMANDS = List.of(
            new Entry(
                    "rehearse",
                    "Goes through a night in simulated time, without touching a bench.",
                    RehearseCommand::new),
            new Entry("run", "Runs a plan on a bench, shows how it goes, and leaves a signed record.", RunCommand::new),
            new Entry("resume", "Goes on with a night that was cut off by a crash or a power cut.", ResumeCommand::new),
            new Entry("stop", "Asks a running night to end safely.", StopCommand::new),
            new Entry(
                    "audit",
                    "Checks one record or a folder of records: structure, hashes, journal, signature, trust, ledger.",
                    AuditCommand::new),
            new Entry(
                    "note", "Adds a signed remark to a sealed record, with files if there are any.", NoteCommand::new),
            new Entry(
                    "set-aside",
                    "Leaves a pass out of the results, signed and with its reason; both results are shown.",
                    SetAsideCommand::new),
            new Entry("sign-off", "Signs a statement on a record, and accepts findings by name.", SignOffCommand::new),
            new Entry(
                    "withdraw",
                    "Takes an amendment of a record back, signed and with its reason.",
                    WithdrawCommand::new),
            new Entry(
                    "compare",
                    "Compares records: by how much fan sets differ, with intervals and verdicts.",
                    CompareCommand::new),
            new Entry("report", "Makes one HTML file of a record: results, charts, findings.", ReportCommand::new),
            new Entry(
                    "retrace",
                    "Decides everything again from a record's inputs: identical, or the first difference.",
                    RetraceCommand::new),
            new Entry(
                    "replay",
                    "Runs a record's plan again on a bench, and judges whether the results agree.",
                    ReplayCommand::new),
            new Entry(
                    "key",
                    "Makes the key that seals records, and keeps the list of keys that are believed.",
                    KeyCommand::new),
            new Entry(
                    "bench",
                    "Before the first night: ports, a new bench file, check, calibration, a simulated bench.",
                    BenchCommand::new),
            new Entry("completion", "Lets a shell complete commands and options.", CompletionCommand::new));

    private Main() {}

    /** {@return program and version, as records name them} */
    static String agent() {
        String version = Main.class.getPackage().getImplementationVersion();
        return "Plateau " + (version == null ? "unpackaged" : version);
    }

    /** Prints the version that the jar was packaged as. */
    static final class Version implements CommandLine.IVersionProvider {
        @Override
        public String[] getVersion() {
            return new String[] {agent()};
        }
    }

    /**
     * Runs one command and ends the process with its exit code.
     *
     * @param args command and options
     */
    public static void main(String[] args) {
        PrintWriter out = new PrintWriter(
                new java.io.OutputStreamWriter(
                        new java.io.FileOutputStream(java.io.FileDescriptor.out), StandardCharsets.UTF_8),
                false);
        PrintWriter err = new PrintWriter(
                new java.io.OutputStreamWriter(
                        new java.io.FileOutputStream(java.io.FileDescriptor.err), StandardCharsets.UTF_8),
                true);
        int code = run(out, err, args);
        out.flush();
        err.flush();
        System.exit(code);
    }

    /**
     * Runs one command.
     *
     * @param out what an operator reads
     * @param err problems and faults
     * @param args command and options
     * @return the exit code
     */
    static int run(PrintWriter out, PrintWriter err, String... args) {
        CommandLine line = line(name -> args.length > 0 && args[0].equals(name));
        line.setOut(out);
        line.setErr(err);
        line.setUsageHelpAutoWidth(false);
        line.setExecutionExceptionHandler((e, commandLine, parsed) -> {
            if (e instanceof Refusal refusal) {
                err.println(refusal.getMessage());
                return USAGE;
            }
            if (e instanceof IOException file) {
                err.println(Refusal.why(file));
                return USAGE;
            }
            err.println("plateau: an error of this program: " + e);
            e.printStackTrace(err);
            return BUG;
        });
        line.setParameterExceptionHandler((e, parsed) -> {
            err.println(UsageProblem.text(e));
            return USAGE;
        });
        if (args.length == 0) {
            line.usage(out);
            return USAGE;
        }
        return line.execute(args);
    }

    /** Everything, with all commands loaded. */
    static CommandLine whole() {
        return line(name -> true);
    }

    private static CommandLine line(Predicate<String> loaded) {
        CommandLine line = new CommandLine(new Main());
        for (Entry entry : COMMANDS) {
            CommandLine sub = loaded.test(entry.name())
                    ? new CommandLine(entry.command().get())
                    : new CommandLine(CommandSpec.create().name(entry.name()));
            sub.getCommandSpec().usageMessage().header(entry.header());
            line.addSubcommand(entry.name(), sub);
        }
        versioned(line);
        return line;
    }

    /** Every command knows the version, however deep. */
    private static void versioned(CommandLine line) {
        line.getCommandSpec().versionProvider(new Version());
        line.getSubcommands().values().forEach(Main::versioned);
    }
}
