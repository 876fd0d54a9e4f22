package org.plateaubench.cli;

import picocli.CommandLine.Option;

/** Options of every command that runs a night. */
final class RunOptions {

    @Option(names = "--by", paramLabel = "NAME", defaultValue = "", description = "who runs it, for the record")
    String by;

    @Option(
            names = "--pace",
            paramLabel = "N",
            description = "on the simulated bench: simulated seconds a real second; without it as fast as it goes")
    Double pace;

    @Option(
            names = "--attended",
            description = "somebody stays beside the bench: allows what an unattended run refuses, and says so in the"
                    + " record")
    boolean attended;

    @Option(
            names = "--watch",
            paramLabel = "ADDRESS:PORT",
            description =
                    "serve a live page that can only be looked at, such as 127.0.0.1:8080; on an address that others"
                            + " reach it needs the token that is printed")
    String watch;

    @Option(
            names = "--on-event",
            paramLabel = "COMMAND",
            description =
                    "program to run when a pass ends, a device is lost, the night ends: with the kind of the event"
                            + " and one line about it as its arguments; no shell, at most 30 s")
    String onEvent;
}
