package org.plateaubench.engine;

import java.util.LinkedHashMap;
import java.util.Map;
import org.plateaubench.units.Decimals;

/**
 * Something that the engine decided or derived, as it is journalled.
 *
 * @param type what kind, for example "stage" or "pass-done"
 * @param fields JSON fields in order: text, Boolean, Long or BigDecimal
 */
public record Decision(String type, Map<String, Object> fields) {

    /**
     * A decision without fields yet.
     *
     * @param type what kind
     * @return the decision, to be filled by {@link #with}
     */
    public static Decision of(String type) {
        return new Decision(type, new LinkedHashMap<>());
    }

    /**
     * Adds a text.
     *
     * @param name of the field
     * @param value its text
     * @return this
     */
    public Decision with(String name, String value) {
        fields.put(name, value);
        return this;
    }

    /**
     * Adds a whole number.
     *
     * @param name of the field
     * @param value the number
     * @return this
     */
    public Decision with(String name, long value) {
        fields.put(name, value);
        return this;
    }

    /**
     * Adds a truth value.
     *
     * @param name of the field
     * @param value the truth value
     * @return this
     */
    public Decision with(String name, boolean value) {
        fields.put(name, value);
        return this;
    }

    /**
     * Adds a number with fixed decimals; one that is not finite is left out.
     *
     * @param name of the field
     * @param value the number
     * @param decimals how many decimals, 0 to 9
     * @return this
     */
    public Decision with(String name, double value, int decimals) {
        if (Double.isFinite(value)) {
            fields.put(name, Decimals.json(value, decimals));
        }
        return this;
    }
}
