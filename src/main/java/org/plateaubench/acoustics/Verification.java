package org.plateaubench.acoustics;

/**
 * A later bracket at a matched speed, against what the line expects there.
 *
 * @param aboveExpectedDb total level found less total level expected above the bracket's own background, dB
 * @param expandedDb half-width of the 95 % interval of that, noise of the bracket and uncertainty of the line, dB
 */
public record Verification(double aboveExpectedDb, double expandedDb) {

    /** {@return true if the bracket agrees with the line} */
    public boolean agrees() {
        return StrictMath.abs(aboveExpectedDb) <= expandedDb;
    }
}
