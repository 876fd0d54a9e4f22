package org.plateaubench.record;

/** How much a finding matters, least first. */
public enum Severity {
    /** Shown, because the reader must know. */
    NOTE("note"),
    /** Shown, and to be looked into; fails no audit. */
    WARNING("warning"),
    /** Fails an audit. */
    FAILURE("failure");

    private final String text;

    Severity(String text) {
        this.text = text;
    }

    /** {@return its name in texts} */
    public String text() {
        return text;
    }
}
