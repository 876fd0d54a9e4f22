package org.plateaubench.record;

import java.io.IOException;

/** Something in a record that is not as a record must be. */
public final class RecordFault extends IOException {

    private static final long serialVersionUID = 1L;

    private final String place;
    private final String found;

    /**
     * A fault.
     *
     * @param place file, relative to the record, and line where there is one, such as "data/samples.csv:17"
     * @param found what was found there, and what was needed
     */
    public RecordFault(String place, String found) {
        super(place + ": " + found);
        this.place = place;
        this.found = found;
    }

    /** {@return the file, and the line where there is one} */
    public String place() {
        return place;
    }

    /** {@return what was found there, and what was needed} */
    public String found() {
        return found;
    }
}
