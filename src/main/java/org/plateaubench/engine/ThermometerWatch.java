package org.plateaubench.engine;

import org.plateaubench.units.Decimals;

/**
 * One thermometer of air or coolant, and whether it moves as something real moves. A reading that stands still says
 * nothing by itself, since a coarse sensor in a calm loop does that too; but one that then leaps has not measured
 * meanwhile, and coolant that does not answer to a change of the heat is not measured either.
 */
final class ThermometerWatch {

    private static final double FROZEN_SECONDS = 180.0;
    private static final double FROZEN_KELVIN = 0.2;
    /** Means of so long are compared, and of so many readings at least: noise alone moves single readings by as much. */
    private static final double BLOCK_SECONDS = 30.0;

    private static final int BLOCK_READINGS = 5;
    private static final double STILL_SECONDS = 60.0;
    private static final double LEAST_STEPS = 3.0;
    private static final double THAW_KELVIN = 0.2;
    private static final double LEAP_KELVIN = 1.0;
    /** A loop of one litre or more warms by less at 600 W, K/s. */
    private static final double FASTEST_KELVIN_PER_SECOND = 0.1;
    /** One that stood still for a minute does not take off faster, K/s. */
    private static final double FASTEST_FROM_REST_KELVIN_PER_SECOND = 0.01;

    private final String name;
    private final int column;
    private double last = Double.NaN;
    private double lastSeconds = Double.NaN;
    private double sameSinceSeconds = Double.NaN;
    private double stepKelvin = Double.POSITIVE_INFINITY;

    private boolean awaited;
    /** True if the loop was at rest before the heat changed, so that it must move. */
    private boolean fromRest;

    private double lowest;
    private double highest;
    private double blockSinceSeconds;
    private double blockSum;
    private int blockReadings;

    ThermometerWatch(String name, int column) {
        this.name = name;
        this.column = column;
    }

    /**
     * The heat has changed, after so long without a change: now the coolant must move. After heat that went off and on
     * again it hardly could do otherwise, but it is no proof that its sensor is frozen if it does not.
     */
    void heatChanged(double steadySeconds, Course course) {
        fromRest = steadySeconds >= FROZEN_SECONDS;
        awaited = fromRest || course.heatOn;
        lowest = Double.POSITIVE_INFINITY;
        highest = Double.NEGATIVE_INFINITY;
        newBlock(course.seconds());
    }

    private void newBlock(double seconds) {
        blockSinceSeconds = seconds;
        blockSum = 0;
        blockReadings = 0;
    }

    /** Nothing is awaited of it any more. */
    void release() {
        awaited = false;
    }

    /** True while the heat has changed, and this thermometer has not felt it yet. */
    boolean awaited() {
        return awaited;
    }

    void check(Course course) {
        double value = course.now().value(column);
        double seconds = course.seconds();
        if (!Double.isNaN(value)) {
            moved(value, seconds, course);
            blockSum += value;
            blockReadings++;
        }
        if (awaited && blockReadings >= BLOCK_READINGS && seconds - blockSinceSeconds >= BLOCK_SECONDS) {
            lowest = Math.min(lowest, blockSum / blockReadings);
            highest = Math.max(highest, blockSum / blockReadings);
            newBlock(seconds);
        }
        if (awaited && highest - lowest >= FROZEN_KELVIN) {
            awaited = false;
        } else if (awaited && seconds - course.heatChangedSeconds >= FROZEN_SECONDS) {
            awaited = false;
            double movedKelvin = Math.max(0, highest - lowest);
            String reason = name + " moved only " + Decimals.fixed(movedKelvin, 3) + " K in "
                    + Decimals.fixed(FROZEN_SECONDS / 60, 0) + " min after the heat went "
                    + (course.heatOn ? "on" : "off") + ": ";
            if (fromRest) {
                String why = reason + "its sensor looks frozen, or the heat does not reach it";
                course.distrust(sameSinceSeconds, why);
                course.end(Exit.BENCH_FAULT, why, false);
            } else {
                course.spoil(reason + "it did not get warm");
                course.heatOff();
            }
        }
    }

    private void moved(double value, double seconds, Course course) {
        double leap = Math.abs(value - last);
        if (Double.isNaN(last)) {
            sameSinceSeconds = seconds;
        } else if (leap > 0) {
            boolean heatSteady = seconds - course.heatChangedSeconds >= STILL_SECONDS;
            double own = FASTEST_KELVIN_PER_SECOND * (seconds - lastSeconds);
            if (lastSeconds - sameSinceSeconds >= STILL_SECONDS
                    && heatSteady
                    && leap > LEAST_STEPS * stepKelvin
                    && leap > THAW_KELVIN + FASTEST_FROM_REST_KELVIN_PER_SECOND * (seconds - lastSeconds)) {
                course.distrust(
                        sameSinceSeconds,
                        name + " read the same for " + Decimals.fixed(lastSeconds - sameSinceSeconds, 0)
                                + " s and then leapt by " + Decimals.fixed(value - last, 2) + " K: it was frozen");
            } else if (leap > LEAP_KELVIN + own) {
                course.spoil(name + " leapt by " + Decimals.fixed(value - last, 2) + " K");
            }
            stepKelvin = Math.min(stepKelvin, leap);
            sameSinceSeconds = seconds;
        }
        last = value;
        lastSeconds = seconds;
    }
}
