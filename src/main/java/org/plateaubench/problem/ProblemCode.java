package org.plateaubench.problem;

/** The stable names of problems. A name never changes its meaning; tools and people search for it. */
public enum ProblemCode {
    /** There is no such file. */
    FILE_MISSING,
    /** A folder, device or pipe where a file is needed. */
    NOT_A_FILE,
    /** The file may not or cannot be read. */
    FILE_UNREADABLE,
    /** The file has more bytes than such a file may have. */
    FILE_TOO_LARGE,
    /** Somebody wrote to the file while it was read. */
    FILE_CHANGED,
    /** Nothing but blanks and comments. */
    EMPTY_FILE,
    /** Bytes that are not UTF-8. */
    NOT_UTF8,
    /** A control character. */
    CONTROL_CHARACTER,
    /** A tab where only spaces may stand. */
    TAB,
    /** The text breaks the rules of YAML. */
    NOT_YAML,
    /** A second YAML document in the file. */
    SECOND_DOCUMENT,
    /** Nested deeper than any sensible file. */
    NESTED_TOO_DEEPLY,
    /** A YAML anchor or alias. */
    ALIAS,
    /** A YAML tag. */
    TAG,
    /** A key that is a list or has keys itself. */
    KEY_NOT_TEXT,
    /** A key that stands twice in one place. */
    DUPLICATE_KEY,
    /** A key that is not known in its place. */
    UNKNOWN_KEY,
    /** A key that must be there. */
    KEY_MISSING,
    /** Keys of which only one may be there. */
    KEYS_EXCLUDE,
    /** A list, text or mapping where another of these is needed. */
    WRONG_KIND,
    /** A value that is none of those possible. */
    WRONG_VALUE,
    /** A number outside its range. */
    OUT_OF_RANGE,
    /** Text that is no number with a unit. */
    NOT_A_QUANTITY,
    /** A number without its unit. */
    UNIT_MISSING,
    /** A unit that is not known, or another spelling of a known one. */
    UNKNOWN_UNIT,
    /** A unit of another kind of quantity. */
    WRONG_DIMENSION,
    /** A comma where a point is needed. */
    DECIMAL_COMMA,
    /** Text that is no date or no time of day. */
    NOT_A_TIME,
    /** A name that cannot be a name. */
    NOT_A_NAME,

    /** A measurement of one kind twice. */
    MEASUREMENT_TWICE,
    /** The same step twice. */
    STEP_TWICE,
    /** A soak or cooldown that may end before its window and hold are full. */
    SOAK_TOO_SHORT,
    /** The shortest time is longer than the longest. */
    TIMES_CROSSED,
    /** A window with too few samples for its statistics. */
    WINDOW_TOO_SHORT,
    /** A setting that the rest of the file makes impossible. */
    CONTRADICTION,
    /** A step at a level, although no sound is measured before. */
    LEVEL_WITHOUT_ACOUSTIC,
    /** A reference that comes too seldom to be measured twice. */
    REFERENCE_NEVER_REACHED,
    /** A thermal measurement without heat. */
    HEAT_MISSING,
    /** No block can end before finish-by. */
    FINISH_TOO_EARLY,

    /** A name of a device that the bench file does not have. */
    UNKNOWN_DEVICE,
    /** A name of a channel that the bench file does not have. */
    UNKNOWN_CHANNEL,
    /** A channel or actuator at a device that cannot do it. */
    WRONG_DEVICE,
    /** One name, port or channel in two places. */
    NAME_TWICE,
    /** A limit that no valid reading can pass. */
    LIMIT_NEVER_REACHED,
    /** Something that every bench needs is missing in the bench file. */
    BENCH_INCOMPLETE,
    /** Simulated and real parts in one bench file. */
    HALF_SIMULATED,

    /** A workload that the bench file does not have. */
    UNKNOWN_WORKLOAD,
    /** Heat by a means that the bench does not have. */
    HEAT_SOURCE_MISSING,
    /** Sound is to be measured on a bench without a level meter. */
    METER_MISSING,
    /** Heat although nothing limits the coolant's temperature. */
    HEAT_WITHOUT_COOLANT_LIMIT,
    /** A limit of the plan that is looser than the bench's. */
    LIMIT_LOOSER,
    /** A step beyond what the fans can do. */
    STEP_BEYOND_FANS,
    /** A device that may take longer to answer than a sample lasts. */
    TIMEOUT_TOO_LONG,
    /** A sample interval that this bench does not allow. */
    SAMPLE_EVERY,
    /** A condition that cannot hold on this bench. */
    CONDITION_NEVER_HOLDS,
    /** Heat or slow fans that would outlast this program, without anybody sitting by. */
    CUTOFF_MISSING,
    /** A device whose cut-off would act in the middle of a night, since nothing is asked of it. */
    NOTHING_TO_ASK,
    /** A fans file that the bench contradicts. */
    FANS_DO_NOT_FIT
}
