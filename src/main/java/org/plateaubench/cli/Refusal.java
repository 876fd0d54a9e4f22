package org.plateaubench.cli;

/** A command cannot do what was asked; its message says what was found and what is needed. Exit code 2. */
final class Refusal extends RuntimeException {

    Refusal(String message) {
        super(message);
    }

    Refusal(String message, Throwable cause) {
        super(message, cause);
    }
}
