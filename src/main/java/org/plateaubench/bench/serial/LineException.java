package org.plateaubench.bench.serial;

/** A line could not be opened, or a request was not answered. The message says which port, what was found and needed. */
public final class LineException extends Exception {

    private static final long serialVersionUID = 1L;

    private final Kind kind;

    /**
     * A failure of a line.
     *
     * @param kind what kind
     * @param message which port, what was found, what is needed
     */
    public LineException(Kind kind, String message) {
        super(message);
        this.kind = kind;
    }

    /** {@return what kind of failure it is} */
    public Kind kind() {
        return kind;
    }

    /** What can be wrong with a line. */
    public enum Kind {
        /** No whole answer came in time; the line itself may be well. */
        TIMEOUT,
        /** The port hung up, or took no bytes; only opening it again can help. */
        GONE,
        /** Another device answers than the one that was looked for. */
        OTHER_DEVICE,
        /** There is no such port. */
        NO_PORT,
        /** The port is used already, by this program or by another one. */
        IN_USE,
        /** The user may not open the port. */
        PERMISSION,
        /** The port cannot be opened for another reason. */
        UNUSABLE
    }
}
