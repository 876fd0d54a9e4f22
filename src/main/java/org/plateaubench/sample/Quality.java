package org.plateaubench.sample;

/** What is known about one reading beside its number. Only {@link #GOOD} readings enter an average or a decision. */
public enum Quality {
    /** A plausible number. */
    GOOD("good"),
    /** No answer came in time. */
    MISSING("missing"),
    /** An answer came that is no number, or not the one asked for. */
    GARBLED("garbled"),
    /** The device itself says that it has no value: SCPI 9.9E37, a fault flag, a power-on or lost-probe value. */
    DEVICE_FAULT("device-fault"),
    /** A number outside the channel's valid range. */
    OUT_OF_RANGE("out-of-range"),
    /** The device is gone; nothing was asked. */
    GONE("gone");

    private final String text;

    Quality(String text) {
        this.text = text;
    }

    /** {@return its recorded text} */
    public String text() {
        return text;
    }

    /**
     * Reads the recorded text.
     *
     * @param text for example "out-of-range"
     * @return the quality
     * @throws IllegalArgumentException if there is none of that name
     */
    public static Quality of(String text) {
        for (Quality q : values()) {
            if (q.text.equals(text)) {
                return q;
            }
        }
        throw new IllegalArgumentException("no reading quality is called '" + text + "'");
    }
}
