package org.plateaubench.report.chart;

import java.time.OffsetDateTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.plateaubench.units.Decimals;

/**
 * Places of an axis that are labelled.
 *
 * @param marks in rising order; may be empty
 */
public record Ticks(List<Tick> marks) {

    /** Steps of a clock that people count in, s. */
    private static final double[] CLOCK_STEPS = {
        1, 5, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400
    };

    private static final DateTimeFormatter MINUTES = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT);
    private static final DateTimeFormatter SECONDS = DateTimeFormatter.ofPattern("HH:mm:ss", Locale.ROOT);

    /** Copies the list. */
    public Ticks {
        marks = List.copyOf(marks);
    }

    /**
     * One place.
     *
     * @param at where it is, in the axis' unit
     * @param label what is written there
     */
    public record Tick(double at, String label) {}

    /**
     * Multiples of 1, 2 or 5 times a power of ten.
     *
     * @param from lower end; finite
     * @param to upper end; finite, above the lower
     * @param atMost how many at the most; 2 or more
     * @return those within the ends, labelled with as many decimals as their step needs
     * @throws IllegalArgumentException if the ends are no range
     */
    public static Ticks between(double from, double to, int atMost) {
        if (!(to > from) || Double.isInfinite(to - from)) {
            throw new IllegalArgumentException("an axis goes from a number to a larger one, found " + from + ", " + to);
        }
        int power = -9;
        double step = 1e-9;
        for (int i = 0; (to - from) / step > atMost - 1; i++) {
            power = -9 + (i + 1) / 3;
            step = new double[] {1, 2, 5}[(i + 1) % 3] * StrictMath.pow(10, power);
        }
        int decimals = Math.max(0, -power);
        List<Tick> marks = new ArrayList<>();
        double slack = step * 1e-9;
        for (long n = (long) StrictMath.ceil((from - slack) / step); n * step <= to + slack; n++) {
            marks.add(new Tick(n * step, Decimals.fixed(n * step, decimals)));
        }
        return new Ticks(marks);
    }

    /**
     * Times of day.
     *
     * @param start local time at offset zero
     * @param fromSeconds lower end, s since the start
     * @param toSeconds upper end, s since the start
     * @param atMost how many at the most; 2 or more
     * @return round times within the ends
     */
    public static Ticks ofDay(OffsetDateTime start, double fromSeconds, double toSeconds, int atMost) {
        double step = CLOCK_STEPS[CLOCK_STEPS.length - 1];
        for (int i = CLOCK_STEPS.length - 1; i >= 0 && (toSeconds - fromSeconds) / CLOCK_STEPS[i] <= atMost - 1; i--) {
            step = CLOCK_STEPS[i];
        }
        double midnight = -start.toLocalTime().toSecondOfDay();
        List<Tick> marks = new ArrayList<>();
        for (long n = (long) StrictMath.ceil((fromSeconds - midnight) / step);
                midnight + n * step <= toSeconds && marks.size() < atMost;
                n++) {
            double at = midnight + n * step;
            marks.add(new Tick(at, (step < 60 ? SECONDS : MINUTES).format(start.plusSeconds(Math.round(at)))));
        }
        return new Ticks(marks);
    }
}
