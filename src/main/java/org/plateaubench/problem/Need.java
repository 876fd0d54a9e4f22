package org.plateaubench.problem;

import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;

/**
 * What a value must be: a quantity of one dimension between two ends, both included.
 *
 * @param low lower end
 * @param high upper end, of the same dimension
 */
public record Need(Quantity low, Quantity high) {

    /** Checks the ends. */
    public Need {
        if (low.unit().dimension() != high.unit().dimension() || low.inBase() > high.inBase()) {
            throw new IllegalArgumentException("no range goes from " + low + " to " + high);
        }
    }

    /**
     * Reads the ends from their text.
     *
     * @param low lower end, such as "1 s"
     * @param high upper end, such as "2 h"
     * @return the need
     * @throws IllegalArgumentException if a text is no quantity
     */
    public static Need between(String low, String high) {
        return new Need(quantity(low), quantity(high));
    }

    private static Quantity quantity(String text) {
        return Quantity.parse(text).orElseThrow(() -> new IllegalArgumentException(text + " is no quantity"));
    }

    /** {@return what it measures} */
    public Dimension dimension() {
        return low.unit().dimension();
    }

    /**
     * Tells whether a quantity of this dimension lies between the ends.
     *
     * @param quantity a quantity of the same dimension
     * @return true from end to end
     */
    public boolean allows(Quantity quantity) {
        return quantity.inBase() >= low.inBase() && quantity.inBase() <= high.inBase();
    }

    /** {@return a quantity that it allows, for messages, such as "10 min"} */
    public String example() {
        String usual = dimension().example();
        return allows(quantity(usual)) ? usual : low.toString();
    }

    /** {@return for messages, such as "a time from 1 s to 2 h"} */
    @Override
    public String toString() {
        return dimension().noun() + " from " + low + " to " + high;
    }
}
