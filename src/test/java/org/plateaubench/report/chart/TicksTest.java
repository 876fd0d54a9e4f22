package org.plateaubench.report.chart;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.OffsetDateTime;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class TicksTest {

    private static List<String> labels(Ticks ticks) {
        return ticks.marks().stream().map(Ticks.Tick::label).toList();
    }

    @Test
    void stepsAreOneTwoOrFive() {
        assertEquals(List.of("0", "2", "4", "6", "8", "10"), labels(Ticks.between(0, 10, 6)));
        assertEquals(List.of("20", "25", "30", "35"), labels(Ticks.between(18.2, 36.1, 5)));
        assertEquals(List.of("-0.02", "0.00", "0.02"), labels(Ticks.between(-0.03, 0.031, 5)));
        assertEquals(List.of("1000", "1500", "2000"), labels(Ticks.between(700, 2100, 4)));
    }

    @Test
    void thereAreEnoughAndNeverTooMany() {
        long seed = 20261124;
        SplittableRandom random = new SplittableRandom(seed);
        for (int i = 0; i < 5000; i++) {
            double from = random.nextDouble(-1000, 1000);
            double to = from + StrictMath.pow(10, random.nextDouble(-4, 5));
            int count = Ticks.between(from, to, 7).marks().size();
            assertTrue(count >= 2 && count <= 7, "seed " + seed + ": " + count + " from " + from + " to " + to);
        }
    }

    @Test
    void timesOfDayAreRoundInLocalTime() {
        OffsetDateTime start = OffsetDateTime.parse("2026-11-24T22:10:00+01:00");
        assertEquals(
                List.of("23:00", "00:00", "01:00", "02:00", "03:00", "04:00"),
                labels(Ticks.ofDay(start, 0, 6.4 * 3600, 10)));
        assertEquals(List.of("22:10", "22:15", "22:20", "22:25"), labels(Ticks.ofDay(start, 0, 1000, 5)));
    }

    @Test
    void noRangeIsRefused() {
        assertThrows(IllegalArgumentException.class, () -> Ticks.between(1, 1, 5));
        assertThrows(IllegalArgumentException.class, () -> Ticks.between(0, Double.NaN, 5));
        assertThrows(IllegalArgumentException.class, () -> Ticks.between(0, Double.POSITIVE_INFINITY, 5));
    }
}
