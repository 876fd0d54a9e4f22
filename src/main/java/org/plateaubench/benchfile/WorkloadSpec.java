package org.plateaubench.benchfile;

import java.util.List;

/** A heat load that is a command. It lives in the bench file, with the bench's owner, never in a plan. */
public sealed interface WorkloadSpec {

    /** {@return its name, by which plans call it} */
    String name();

    /**
     * A command of this computer.
     *
     * @param name its name
     * @param command program and arguments, at least one
     */
    record Command(String name, List<String> command) implements WorkloadSpec {
        /** Copies the list. */
        public Command {
            command = List.copyOf(command);
        }
    }

    /**
     * A workload of the simulated computer.
     *
     * @param name its name
     * @param watts heat flow while it runs, W
     * @param runSeconds how long one run takes, s
     */
    record Simulated(String name, double watts, double runSeconds) implements WorkloadSpec {}
}
