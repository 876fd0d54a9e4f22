package org.plateaubench.units;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A number with its unit, as written: "850 rpm", "1 K/h", "30 min", "2 %".
 *
 * @param value the number in {@code unit}; finite
 * @param unit its unit
 */
public record Quantity(double value, Unit unit) {

    private static final Pattern TEXT = Pattern.compile("([-+]?[0-9]{1,12}(?:\\.[0-9]{1,9})?) ?([^0-9 ].*)?");

    /**
     * Checks the number. Negative zero becomes zero, so equal quantities print alike.
     *
     * @throws IllegalArgumentException if the value is infinite or NaN
     */
    public Quantity {
        if (!Double.isFinite(value)) {
            throw new IllegalArgumentException("a quantity must be finite, found " + value + " " + unit.symbol());
        }
        value += 0.0;
    }

    /**
     * Reads a quantity: a decimal number with a point, one space or none, and the unit's exact spelling.
     *
     * @param text the text
     * @return the quantity, or empty if the text is not one
     */
    public static Optional<Quantity> parse(String text) {
        Matcher m = TEXT.matcher(text);
        if (!m.matches()) {
            return Optional.empty();
        }
        String symbol = m.group(2) == null ? "" : m.group(2);
        return Unit.of(symbol).map(unit -> new Quantity(Double.parseDouble(m.group(1)), unit));
    }

    /** {@return the value in the base unit of its dimension, see {@link Unit#base()}} */
    public double inBase() {
        return value * unit.toBase();
    }

    /** {@return the quantity as it is written, with no more decimals than it needs, such as "1.5 K/h"} */
    @Override
    public String toString() {
        String number = Decimals.shortest(value, 9);
        return unit == Unit.ONE ? number : number + " " + unit.symbol();
    }
}
