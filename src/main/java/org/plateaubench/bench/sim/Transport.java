package org.plateaubench.bench.sim;

/** How the program reaches simulated instruments. Both ways carry the same text. */
public enum Transport {
    /** Over a pseudo-terminal with the serial library, as a real bench. */
    PSEUDO_TERMINAL,
    /** By calling them, for statistics and where there are no pseudo-terminals. */
    IN_PROCESS
}
