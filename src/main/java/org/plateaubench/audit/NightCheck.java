package org.plateaubench.audit;

import org.plateaubench.record.Finding;
import org.plateaubench.record.Severity;

/** Every kind of finding about what a record says of its night, with its message. */
public enum NightCheck {
    /** The plan is none of those that were approved. */
    PLAN_NOT_APPROVED(
            Severity.FAILURE, true, "nobody has approved what was done", "see what differs from the approved plan"),
    /** The calibration of a channel was overdue when the night was run. */
    CALIBRATION_OVERDUE(
            Severity.FAILURE,
            true,
            "nobody knows how far the readings were off",
            "calibrate, then judge the drift since the last calibration; or repeat the night"),
    /** Somebody had to stay beside the bench. */
    CUT_OFFS_MISSING(
            Severity.FAILURE,
            true,
            "nothing would have switched the heat off, or the fans to full speed, had the program fallen silent",
            "see that somebody stayed beside the bench; fit the cut-offs before the next night"),
    /** The record says that its bench is real, and something in it says otherwise. */
    SIMULATED_AS_MEASURED(Severity.FAILURE, false, "what is simulated is passed for measured", "do not use the record"),
    /** The record's own files cannot be read by this version. */
    FILES_REFUSED(
            Severity.WARNING,
            true,
            "calibration, cut-offs and simulation could not all be judged",
            "audit it with the program that its provenance names"),
    /** The night was cut off and went on. */
    CUT_OFF(
            Severity.NOTE,
            false,
            "nothing was read or set in the gap; the pass that was cut was repeated",
            "see the journal, and what was torn off, in data/torn-*"),
    /** The night is the replay of another one. */
    REPLAY(Severity.NOTE, false, "it was run to see whether the result of that record comes out again", "compare both"),
    /** A pass was set aside. */
    PASS_SET_ASIDE(Severity.NOTE, false, "the results differ with it and without", "look at both");

    private final Severity severity;
    private final boolean acceptable;
    private final String why;
    private final String action;

    NightCheck(Severity severity, boolean acceptable, String why, String action) {
        this.severity = severity;
        this.acceptable = acceptable;
        this.why = why;
        this.action = action;
    }

    /**
     * A finding of this kind.
     *
     * @param place file, relative to the record
     * @param found what was found
     * @return the finding
     */
    public Finding at(String place, String found) {
        return new Finding(severity, name(), place, found, why, action, acceptable);
    }
}
