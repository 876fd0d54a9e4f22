package org.plateaubench.fans;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.OptionalDouble;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Regression: exponentials of known time constants, read every second, begun somewhere between two readings. */
class TimeConstantTest {

    private static double[] seconds() {
        return IntStream.range(0, 40).mapToDouble(i -> i).toArray();
    }

    private static double[] course(double from, double to, double tau, double delay) {
        return IntStream.range(0, 40)
                .mapToDouble(t -> t <= delay ? from : to + (from - to) * StrictMath.exp(-(t - delay) / tau))
                .map(StrictMath::rint)
                .toArray();
    }

    @ParameterizedTest
    @CsvSource({
        "0, 2000, 1.5, 0.0",
        "0, 2000, 1.5, 0.7",
        "300, 2000, 0.8, 0.3",
        "2000, 0, 2.5, 0.4",
        "2000, 420, 6, 0.9",
        "0, 900, 1.5, 2.4"
    })
    void isFoundWhateverTheDelay(double from, double to, double tau, double delay) {
        OptionalDouble found = TimeConstant.seconds(seconds(), course(from, to, tau, delay), to);
        assertEquals(tau, found.orElseThrow(), 0.03 * tau);
    }

    @Test
    void readingsThatAreMissingArePassedOver() {
        double[] course = course(0, 2000, 3, 0);
        course[2] = Double.NaN;
        course[4] = Double.NaN;
        assertEquals(3, TimeConstant.seconds(seconds(), course, 2000).orElseThrow(), 0.05);
    }

    @Test
    void aChangeWithinOneReadingCannotBeTold() {
        assertEquals(OptionalDouble.empty(), TimeConstant.seconds(seconds(), course(0, 2000, 0.1, 0), 2000));
        assertEquals(OptionalDouble.empty(), TimeConstant.seconds(seconds(), course(900, 900, 2, 0), 900));
    }
}
