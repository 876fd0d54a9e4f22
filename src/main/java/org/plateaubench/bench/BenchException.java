package org.plateaubench.bench;

/** A device could not be opened, or is another one. The message says which, what was found, what is needed. */
public final class BenchException extends Exception {

    private static final long serialVersionUID = 1L;

    /**
     * A failure to open the bench.
     *
     * @param message which device, what was found, what is needed, one or more lines
     * @param cause what caused it, or null
     */
    public BenchException(String message, Throwable cause) {
        super(message, cause);
    }
}
