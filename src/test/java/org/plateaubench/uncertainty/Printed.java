package org.plateaubench.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.List;

/** Compares with figures as they are printed, to the digits that are printed. */
final class Printed {

    private Printed() {}

    static void assertPrinted(String what, String printed, double found) {
        BigDecimal figure = new BigDecimal(printed);
        double halfUnit = 0.5 * StrictMath.pow(10.0, -figure.scale());
        assertEquals(figure.doubleValue(), found, halfUnit * (1.0 + 1e-9), what);
    }

    /** How many digits of a certified value are right: log relative error, at most 15. */
    static double digits(double certified, double found) {
        return found == certified
                ? 15.0
                : StrictMath.min(
                        15.0, -StrictMath.log10(StrictMath.abs(found - certified) / StrictMath.abs(certified)));
    }

    static List<String> lines(String resource) {
        try (InputStream in = Printed.class.getResourceAsStream("/reference/" + resource)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8).lines().toList();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
