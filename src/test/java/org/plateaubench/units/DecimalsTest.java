package org.plateaubench.units;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.Random;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class DecimalsTest {

    private static final long SEED = 20261125;

    /** Reference: the Java library's own reader, correctly rounded by its specification. */
    @Test
    @Tag("validation")
    void readsEveryNumberAsTheLibraryDoes() {
        Random random = new Random(SEED);
        for (int i = 0; i < 200_000; i++) {
            StringBuilder text = new StringBuilder(random.nextInt(3) == 0 ? "-" : "");
            int digits = 1 + random.nextInt(18);
            int point = random.nextInt(2 * digits);
            for (int k = 0; k < digits; k++) {
                text.append(k == point ? "." : "").append((char) ('0' + random.nextInt(10)));
            }
            String number = text.toString();
            assertEquals(
                    Double.doubleToRawLongBits(Double.parseDouble(number)),
                    Double.doubleToRawLongBits(Decimals.number(number)),
                    () -> number + ", seed " + SEED);
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"0", "-0", "-0.000", "5.", ".5", "-.25", "007.50", "1e3", "-1.5E-3", "NaN", " 4 ", "+2"})
    void readsOtherShapesAsTheLibraryDoes(String number) {
        assertEquals(
                Double.doubleToRawLongBits(Double.parseDouble(number)),
                Double.doubleToRawLongBits(Decimals.number(number)));
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "-", ".", "-.", "1.2.3", "--1", "1-", "twelve"})
    void refusesWhatIsNoNumber(String text) {
        assertThrows(NumberFormatException.class, () -> Decimals.number(text));
    }

    @Test
    void writesFixedDecimalsThatReadBack() {
        assertEquals("-0.050", Decimals.fixed(-0.05, 3));
        assertEquals("0.000", Decimals.fixed(-0.0004, 3));
        assertEquals(-0.05, Decimals.number("-0.050"));
    }
}
