package org.plateaubench.units;

import java.math.BigDecimal;
import java.math.RoundingMode;

/**
 * Writes numbers with a fixed number of decimals and a point, whatever the locale and the Java version. Everything that
 * reaches a record goes through here, because {@code Double.toString} changed between Java versions.
 */
public final class Decimals {

    private static final long[] POWERS = {
        1L, 10L, 100L, 1_000L, 10_000L, 100_000L, 1_000_000L, 10_000_000L, 100_000_000L, 1_000_000_000L
    };
    private static final double EXACT_LIMIT = 1e15;

    private Decimals() {}

    /**
     * Writes a number with exactly so many decimals, halves rounded away from zero.
     *
     * @param value the number; finite
     * @param decimals how many decimals, 0 to 9
     * @return for example "-0.050"; a value that rounds to zero has no minus sign
     * @throws IllegalArgumentException if the value is not finite or the decimals are out of range
     */
    public static String fixed(double value, int decimals) {
        if (!Double.isFinite(value)) {
            throw new IllegalArgumentException("only a finite number can be written, found " + value);
        }
        if (decimals < 0 || decimals >= POWERS.length) {
            throw new IllegalArgumentException("0 to 9 decimals can be written, asked for " + decimals);
        }
        double magnitude = StrictMath.abs(value);
        double scaled = magnitude * POWERS[decimals];
        if (scaled >= EXACT_LIMIT) {
            return new BigDecimal(value)
                    .setScale(decimals, RoundingMode.HALF_UP)
                    .toPlainString();
        }
        long units = (long) StrictMath.floor(scaled + 0.5);
        long whole = units / POWERS[decimals];
        StringBuilder text = new StringBuilder(16);
        if (value < 0 && units != 0) {
            text.append('-');
        }
        text.append(whole);
        if (decimals > 0) {
            String fraction = Long.toString(units % POWERS[decimals]);
            text.append('.');
            text.append("0".repeat(decimals - fraction.length()));
            text.append(fraction);
        }
        return text.toString();
    }

    /**
     * Writes a number with no more decimals than it needs.
     *
     * @param value the number; finite
     * @param mostDecimals how many decimals at the most, 0 to 9
     * @return for example "1.5" for 1.500
     */
    public static String shortest(double value, int mostDecimals) {
        String text = fixed(value, mostDecimals);
        if (text.indexOf('.') < 0) {
            return text;
        }
        int end = text.length();
        while (text.charAt(end - 1) == '0') {
            end--;
        }
        if (text.charAt(end - 1) == '.') {
            end--;
        }
        return text.substring(0, end);
    }

    /**
     * A number for JSON with a fixed number of decimals: the same digits on every Java version.
     *
     * @param value the number; finite
     * @param decimals how many decimals, 0 to 9
     * @return the rounded number
     */
    public static BigDecimal json(double value, int decimals) {
        return new BigDecimal(fixed(value, decimals));
    }
}
