package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.units.Decimals;

/**
 * Something that the engine decided or derived, as it is journalled.
 *
 * @param type what kind, for example "stage" or "pass-done"
 * @param fields JSON fields in order: text, Boolean, Long, BigDecimal, or lists of them
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

    /**
     * Adds a list of numbers with fixed decimals; one that is not finite stands there as "none", so that the others keep
     * their places.
     *
     * @param name of the field
     * @param values the numbers
     * @param decimals how many decimals, 0 to 9
     * @return this
     */
    public Decision with(String name, double[] values, int decimals) {
        List<Object> list = new ArrayList<>();
        for (double value : values) {
            list.add(Double.isFinite(value) ? Decimals.json(value, decimals) : "none");
        }
        fields.put(name, List.copyOf(list));
        return this;
    }

    /**
     * Something that whoever reads the results must know.
     *
     * @param kind what kind, for example "hysteresis"
     * @param about what it is about, such as the name of a channel; may be empty
     * @param text one line for people
     * @return the decision
     */
    static Decision finding(String kind, String about, String text) {
        return of("finding").with("kind", kind).with("about", about).with("text", text);
    }
}
