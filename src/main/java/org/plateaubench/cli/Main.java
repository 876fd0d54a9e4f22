package org.plateaubench.cli;

import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import picocli.CommandLine;
import picocli.CommandLine.Command;

/** The command line of Plateau. */
@Command(
        name = "plateau",
        mixinStandardHelpOptions = true,
        versionProvider = Main.Version.class,
        header = "Runs test plans on a cooling-fan bench, unattended, and leaves signed records.",
        description = {
            "",
            "Without --bench a simulated bench is used, and everything it prints says SIMULATED.",
            "Heat, moving blades and liquid near mains can hurt: read hardware-notes/safety.md before the first night.",
            ""
        },
        footer = {
            "",
            "Examples:",
            "  plateau rehearse protocols/first-night.yaml",
            "  plateau run protocols/first-night.yaml",
            "  plateau audit records/simulated",
            "",
            "Exit codes: 0 done, 1 checked and found wrong, 2 usage or files wrong (nothing sent to the bench),",
            "3 ended early and made safe, 4 bench fault, 5 passes missing, 70 an error of this program."
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
        CommandLine line = new CommandLine(new Main());
        line.addSubcommand(new RunCommand())
                .addSubcommand(new RehearseCommand())
                .addSubcommand(new AuditCommand())
                .addSubcommand(new RetraceCommand())
                .addSubcommand(new KeyCommand())
                .addSubcommand(new BenchCommand());
        line.setOut(out);
        line.setErr(err);
        line.setUsageHelpAutoWidth(false);
        line.setExecutionExceptionHandler((e, commandLine, parsed) -> {
            if (e instanceof Refusal refusal) {
                err.println(refusal.getMessage());
                return USAGE;
            }
            err.println("plateau: an error of this program: " + e);
            e.printStackTrace(err);
            return BUG;
        });
        if (args.length == 0) {
            line.usage(out);
            return USAGE;
        }
        return line.execute(args);
    }
}
