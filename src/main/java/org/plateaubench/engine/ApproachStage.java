package org.plateaubench.engine;

import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.units.Decimals;

/** Brings the fans to the step's setpoint and freezes the duty. */
final class ApproachStage extends Stage {

    /** Half of the 1 % that a speed may be off, so that heat may move it a little afterwards. */
    private static final double WITHIN_PERCENT = 0.5;

    /** Two or three settings of the duty, each settled and averaged, s. */
    static final double EXPECTED_SECONDS = 35.0;

    private static final double DUTY_SETTLE_SECONDS = 15.0;
    /** Fans at rest get their start duty for so long after the last of them turns. */
    private static final double START_SECONDS = 3.0;
    /** Fans that stick get full duty after so long; the guard gives them ten seconds. */
    private static final double STICKS_SECONDS = 4.0;

    private static final double FULL_PERCENT = 100.0;

    private final Step step;
    private SpeedTrim trim;
    /** Since when all fans turn; only kept while they are being started. */
    private double turnSinceSeconds = Double.NaN;

    private boolean starting;

    ApproachStage(Step step) {
        super("approach");
        this.step = step;
    }

    @Override
    void enter(Course course) {
        starting = !course.now().fansTurn();
        if (starting) {
            course.setFans(course.startPercent);
        } else {
            approach(course);
        }
    }

    private void approach(Course course) {
        if (step instanceof Step.Speed speed) {
            trim = new SpeedTrim(speed.rpm(), WITHIN_PERCENT, course.fanSpeeds);
        } else if (step instanceof Step.Duty duty) {
            course.setFans(duty.percent());
        } else {
            throw new IllegalStateException("no speed is known for the step " + step.text());
        }
    }

    /** Fans at rest need more duty to start than to turn. */
    private void start(Course course) {
        if (!course.now().fansTurn()) {
            turnSinceSeconds = Double.NaN;
            if (elapsedSeconds(course) >= STICKS_SECONDS && course.fanDutyPercent < FULL_PERCENT) {
                course.setFans(FULL_PERCENT);
            }
        } else if (Double.isNaN(turnSinceSeconds)) {
            turnSinceSeconds = course.seconds();
        } else if (course.seconds() - turnSinceSeconds >= START_SECONDS) {
            starting = false;
            approach(course);
        }
    }

    @Override
    boolean tick(Course course) {
        if (starting) {
            start(course);
            return false;
        }
        if (step instanceof Step.Duty) {
            return course.seconds() - course.dutySetSeconds >= DUTY_SETTLE_SECONDS
                    && frozen(course, course.now().fanRpm());
        }
        trim.tick(course.seconds(), course.fanDutyPercent, course.now().fanRpm())
                .ifPresent(course::setFans);
        if (trim.state() == SpeedTrim.State.OUT_OF_REACH) {
            course.spoil("the fans do not reach " + step.text() + ": at "
                    + Decimals.shortest(course.fanDutyPercent, 2) + " % duty they turn at "
                    + Decimals.fixed(trim.meanRpm(), 0) + " rpm");
            return false;
        }
        return trim.state() == SpeedTrim.State.REACHED && frozen(course, trim.meanRpm());
    }

    private boolean frozen(Course course, double rpm) {
        course.frozenRpm = rpm;
        if (course.bench
                .actuator(BenchFile.FAN_DUTY)
                .flatMap(ActuatorSpec::readback)
                .isEmpty()) {
            // Outputs that fell back unseen are set again by this, and the speed that follows tells of it.
            course.setFans(course.fanDutyPercent);
        }
        course.decide(Decision.of("duty-frozen")
                .with("pass", course.pass.name())
                .with("duty", course.fanDutyPercent, 2)
                .with("rpm", rpm, 1));
        return true;
    }

    @Override
    String waitsFor(Course course) {
        double rpm = course.now().fanRpm();
        return "fans at " + (Double.isNaN(rpm) ? "?" : Decimals.fixed(rpm, 0)) + " rpm, wanted " + step.text();
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return EXPECTED_SECONDS;
    }
}
