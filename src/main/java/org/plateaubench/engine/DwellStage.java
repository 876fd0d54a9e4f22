package org.plateaubench.engine;

import org.plateaubench.units.Decimals;

/** The measured time after the soak. Its first and last tick mark what enters the result. */
final class DwellStage extends Stage {

    private final double dwellSeconds;
    private long firstTick;
    private long lastTick;
    private double sumRiseKelvin;
    private long readings;

    DwellStage(double dwellSeconds) {
        super("dwell");
        this.dwellSeconds = dwellSeconds;
    }

    @Override
    void enter(Course course) {
        firstTick = course.tick() + 1;
    }

    @Override
    boolean tick(Course course) {
        lastTick = course.tick();
        double rise = course.riseKelvin();
        if (!Double.isNaN(rise)) {
            sumRiseKelvin += rise;
            readings++;
        }
        if (course.settledBy != null) {
            course.settledBy.dwell(course);
        }
        boolean over = elapsedSeconds(course) >= dwellSeconds && readings > 0;
        if (over && course.settledBy != null && course.settledBy.unsettled()) {
            course.spoil("the rise did not stay settled: slope "
                    + Decimals.fixed(course.settledBy.verdict().slopeKelvinPerHour(), 2)
                    + " K/h at the end of the dwell");
            return false;
        }
        return over;
    }

    long firstTick() {
        return firstTick;
    }

    long lastTick() {
        return lastTick;
    }

    double meanRiseKelvin() {
        return sumRiseKelvin / readings;
    }

    @Override
    boolean loaded() {
        return true;
    }

    @Override
    boolean measures() {
        return true;
    }

    @Override
    String waitsFor(Course course) {
        return "averaging, " + Decimals.fixed(elapsedSeconds(course) / 60.0, 1) + " of "
                + Decimals.shortest(dwellSeconds / 60.0, 1) + " min";
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return dwellSeconds;
    }
}
