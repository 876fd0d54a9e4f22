package org.plateaubench.bench.sim;

import org.plateaubench.bench.serial.Pty;

/** How the program reaches simulated instruments. Both ways carry the same text. */
public enum Transport {
    /** Over a pseudo-terminal with the serial library, as a real bench. */
    PSEUDO_TERMINAL,
    /** By calling them, for statistics and where there are no pseudo-terminals. */
    IN_PROCESS;

    /** {@return the way that is nearest to a real bench on this computer} */
    public static Transport nearest() {
        return Pty.supported() ? PSEUDO_TERMINAL : IN_PROCESS;
    }
}
