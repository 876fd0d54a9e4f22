package org.plateaubench.units;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.nio.charset.StandardCharsets;

/**
 * Writes numbers with a fixed number of decimals and a point, whatever the locale and the Java version. Everything that
 * reaches a record goes through here, because {@code Double.toString} changed between Java versions.
 */
public final class Decimals {

    private static final long[] POWERS = {
        1L, 10L, 100L, 1_000L, 10_000L, 100_000L, 1_000_000L, 10_000_000L, 100_000_000L, 1_000_000_000L
    };
    private static final double EXACT_LIMIT = 1e15;
    private static final int EXACT_DIGITS = 15;

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
     * Reads a number back, as {@link Double#parseDouble} does.
     *
     * @param text the number, for example "-0.050"
     * @return its value
     * @throws NumberFormatException if the text is no number
     */
    public static double number(String text) {
        byte[] ascii = text.getBytes(StandardCharsets.US_ASCII);
        return number(ascii, 0, ascii.length);
    }

    /**
     * The same for text that is held as bytes. A plain decimal number of at most 15 digits is a whole number over a power of
     * ten, both exact, so that one division gives the same value in a quarter of the time: a night has half a million of
     * them.
     *
     * @param ascii holds the number
     * @param from where it begins
     * @param to where it ends
     * @return its value
     * @throws NumberFormatException if it is no number
     */
    public static double number(byte[] ascii, int from, int to) {
        boolean negative = from < to && ascii[from] == '-';
        int first = negative ? from + 1 : from;
        int point = to;
        long units = 0;
        for (int i = first; i < to; i++) {
            byte c = ascii[i];
            if (c >= '0' && c <= '9') {
                units = units * 10 + (c - '0');
            } else if (c == '.' && point == to) {
                point = i;
            } else {
                return asTheLibrary(ascii, from, to);
            }
        }
        int decimals = point == to ? 0 : to - 1 - point;
        int digits = to - first - (point == to ? 0 : 1);
        if (digits < 1 || digits > EXACT_DIGITS || decimals >= POWERS.length) {
            return asTheLibrary(ascii, from, to);
        }
        double magnitude = (double) units / POWERS[decimals];
        return negative ? -magnitude : magnitude;
    }

    private static double asTheLibrary(byte[] ascii, int from, int to) {
        return Double.parseDouble(new String(ascii, from, to - from, StandardCharsets.US_ASCII));
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
