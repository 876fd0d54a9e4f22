package org.plateaubench.engine;

/** How a run ends. The codes are those of the command line. */
public enum Exit {
    /** All passes were done. */
    DONE(0, "complete"),
    /** A limit, a signal or an operator ended it; the bench was made safe. */
    ENDED_EARLY(3, "ended early"),
    /** A fault of the bench ended it; it was made as safe as could be. */
    BENCH_FAULT(4, "bench fault"),
    /** It went to its end, but passes are missing. */
    PASSES_MISSING(5, "passes missing"),
    /** A bug of this program ended it; the bench was made as safe as could be. */
    BUG(70, "internal error");

    private final int code;
    private final String text;

    Exit(int code, String text) {
        this.code = code;
        this.text = text;
    }

    /** {@return the exit code of the command} */
    public int code() {
        return code;
    }

    /** {@return its recorded text} */
    public String text() {
        return text;
    }
}
