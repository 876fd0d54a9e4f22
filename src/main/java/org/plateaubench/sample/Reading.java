package org.plateaubench.sample;

import org.plateaubench.units.Decimals;
import org.plateaubench.units.Unit;

/**
 * One channel's indicated value at one tick, already rounded to its recorded text: the value is what the text says.
 *
 * @param text the recorded text, for example "28.403"; empty if there is no number
 * @param value the number that the text says, in the channel's unit; NaN if there is none
 * @param quality whether it may be used
 */
public record Reading(String text, double value, Quality quality) {

    private static final Reading[] WITHOUT_NUMBER = new Reading[Quality.values().length];

    static {
        for (Quality q : Quality.values()) {
            WITHOUT_NUMBER[q.ordinal()] = new Reading("", Double.NaN, q);
        }
    }

    /**
     * A reading with a number, rounded to the decimals that its unit keeps.
     *
     * @param value the indicated value; finite
     * @param unit its unit
     * @param quality good or out of range
     * @return the reading as it will be recorded
     */
    public static Reading of(double value, Unit unit, Quality quality) {
        String text = Decimals.fixed(value, unit.recordedDecimals());
        return new Reading(text, Decimals.number(text), quality);
    }

    /**
     * A reading without a number.
     *
     * @param quality why there is none
     * @return the reading
     */
    public static Reading none(Quality quality) {
        return WITHOUT_NUMBER[quality.ordinal()];
    }

    /**
     * Reads a reading back from its recorded text.
     *
     * @param text the number's text, may be empty
     * @param quality the quality
     * @return the same reading that was recorded
     * @throws NumberFormatException if the text is neither empty nor a number
     */
    public static Reading recorded(String text, Quality quality) {
        return text.isEmpty() ? none(quality) : new Reading(text, Decimals.number(text), quality);
    }

    /** {@return true if the value may enter averages and decisions} */
    public boolean good() {
        return quality == Quality.GOOD;
    }
}
