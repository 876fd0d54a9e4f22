package org.plateaubench.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import org.plateaubench.units.Decimals;

/**
 * A value and its expanded uncertainty as they are printed: the uncertainty to two significant digits, rounded up (GUM
 * 7.2.6 allows it, and an interval must not shrink by printing), the value to the same place.
 *
 * @param value the rounded value
 * @param expanded the rounded expanded uncertainty, in the value's unit
 * @param decimals to how many decimals both are printed; 0 also where tens or hundreds were rounded
 */
public record Rounded(double value, double expanded, int decimals) {

    private static final MathContext TWO_DIGITS_UP = new MathContext(2, RoundingMode.CEILING);

    /** A binary fraction may stand a little above the decimal one that is meant; that much is not rounded up. */
    private static final double BINARY_EXCESS = 1e-12;

    private static final int MOST_DECIMALS = 9;

    /**
     * Rounds.
     *
     * @param value finite
     * @param expanded finite, 0 or more
     * @return both, rounded; 12.3456 and 0.1234 become 12.35 and 0.13
     * @throws IllegalArgumentException if a number is not finite or the uncertainty is negative
     */
    public static Rounded of(double value, double expanded) {
        if (!Double.isFinite(value) || !Double.isFinite(expanded) || expanded < 0.0) {
            throw new IllegalArgumentException("a finite value and an uncertainty of 0 or more can be rounded, found "
                    + value + " and " + expanded);
        }
        BigDecimal up = new BigDecimal(expanded * (1.0 - BINARY_EXCESS)).round(TWO_DIGITS_UP);
        int scale = up.signum() == 0 ? MOST_DECIMALS : StrictMath.min(up.scale() + 2 - up.precision(), MOST_DECIMALS);
        return new Rounded(
                new BigDecimal(value).setScale(scale, RoundingMode.HALF_UP).doubleValue(),
                up.setScale(scale, RoundingMode.CEILING).doubleValue(),
                StrictMath.max(scale, 0));
    }

    /** {@return for example "12.35 ± 0.13"} */
    @Override
    public String toString() {
        return Decimals.fixed(value, decimals) + " ± " + Decimals.fixed(expanded, decimals);
    }
}
