package org.plateaubench.engine;

import org.plateaubench.plan.Plan;
import org.plateaubench.units.Decimals;

/** Brings the pump to its speed and waits until it has been within tolerance for the stated time. */
final class PumpLockStage extends Stage {

    /** A share of the tolerance, so that the watch that follows does not trip on noise at its very edge. */
    private static final double SHARE_OF_TOLERANCE = 0.5;

    private final Plan.PumpLock lock;
    private SpeedTrim trim;
    private double withinSinceSeconds = Double.NaN;

    PumpLockStage(Plan.PumpLock lock) {
        super("pump-lock");
        this.lock = lock;
    }

    @Override
    void enter(Course course) {
        course.heatOff();
        course.pumpLocked = false;
        if (Double.isNaN(course.pumpDutyPercent)) {
            double readback = course.now().pumpDutyPercent();
            course.setPump(Double.isNaN(readback) ? 100.0 : readback);
        } else {
            course.setPump(course.pumpDutyPercent);
        }
        trim = new SpeedTrim(lock.rpm(), lock.withinPercent() * SHARE_OF_TOLERANCE, course.pumpSpeeds);
    }

    @Override
    boolean tick(Course course) {
        double rpm = course.now().pumpRpm();
        if (trim.state() == SpeedTrim.State.TRIMMING) {
            trim.tick(course.seconds(), course.pumpDutyPercent, rpm).ifPresent(course::setPump);
            if (trim.state() == SpeedTrim.State.OUT_OF_REACH) {
                course.end(
                        Exit.BENCH_FAULT,
                        "the pump does not reach " + Decimals.shortest(lock.rpm(), 1) + " rpm: at "
                                + Decimals.shortest(course.pumpDutyPercent, 2) + " % duty it turns at "
                                + (Double.isNaN(trim.meanRpm())
                                        ? "no readable speed"
                                        : Decimals.fixed(trim.meanRpm(), 0) + " rpm"),
                        false);
            }
            return false;
        }
        if (Double.isNaN(rpm) || !Guard.within(rpm, lock)) {
            withinSinceSeconds = Double.NaN;
            trim = new SpeedTrim(lock.rpm(), lock.withinPercent() * SHARE_OF_TOLERANCE, course.pumpSpeeds);
            return false;
        }
        if (Double.isNaN(withinSinceSeconds)) {
            withinSinceSeconds = course.seconds();
        }
        if (course.seconds() - withinSinceSeconds < lock.forSeconds()) {
            return false;
        }
        course.pumpLocked = true;
        course.decide(Decision.of("pump-locked")
                .with("duty", course.pumpDutyPercent, 2)
                .with("rpm", trim.meanRpm(), 1));
        return true;
    }

    @Override
    String waitsFor(Course course) {
        double rpm = course.now().pumpRpm();
        return "pump at " + (Double.isNaN(rpm) ? "?" : Decimals.fixed(rpm, 0)) + " rpm, wanted "
                + Decimals.shortest(lock.rpm(), 1) + " rpm";
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return 45.0 + lock.forSeconds();
    }
}
