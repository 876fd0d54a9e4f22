package org.plateaubench.engine;

import org.plateaubench.units.Decimals;

/** Waiting, load off, for the time before which a measurement may not begin. */
final class WaitStage extends Stage {

    private final double untilSeconds;

    WaitStage(double untilSeconds) {
        super("wait");
        this.untilSeconds = untilSeconds;
    }

    @Override
    void enter(Course course) {
        course.heatOff();
    }

    @Override
    boolean tick(Course course) {
        return course.seconds() >= untilSeconds;
    }

    @Override
    String waitsFor(Course course) {
        return "not before " + Decimals.fixed((untilSeconds - course.seconds()) / 60.0, 0) + " min from now";
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return 0;
    }
}
