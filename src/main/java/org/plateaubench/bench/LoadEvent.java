package org.plateaubench.bench;

/**
 * Something that a heat load did.
 *
 * @param kind what it did
 * @param detail more about it, one line, such as the exit status
 */
public record LoadEvent(Kind kind, String detail) {

    /** What a load can do. */
    public enum Kind {
        /** A run of the workload began. */
        STARTED,
        /** A run of the workload ended by itself, with exit status 0. */
        COMPLETED,
        /** A run of the workload failed. */
        FAILED
    }
}
