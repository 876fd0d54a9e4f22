package org.plateaubench.record;

/**
 * What a check says about a record.
 *
 * @param severity how much it matters
 * @param code stable name of the kind of finding, such as "FILE_CHANGED"
 * @param place file, relative to the record, and line where there is one; empty: the record as a whole
 * @param found what was found
 * @param why why it matters
 * @param action what to do
 * @param acceptable whether a sign-off may accept it; never so for what touches the bytes or signatures
 */
public record Finding(
        Severity severity, String code, String place, String found, String why, String action, boolean acceptable) {

    /**
     * The same with another severity.
     *
     * @param other how much it matters here
     * @return the finding
     */
    public Finding as(Severity other) {
        return new Finding(other, code, place, found, why, action, acceptable);
    }
}
