package org.plateaubench.engine;

import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.units.Decimals;

/** Brings the fans to the step's setpoint and freezes the duty. */
final class ApproachStage extends Stage {

    /** Half of the 1 % that a speed may be off, so that heat may move it a little afterwards. */
    private static final double WITHIN_PERCENT = 0.5;

    /** Two or three settings of the duty, each settled and averaged, s. */
    static final double EXPECTED_SECONDS = 35.0;

    private static final double DUTY_SETTLE_SECONDS = 15.0;

    private final Step step;
    private SpeedTrim trim;

    ApproachStage(Step step) {
        super("approach");
        this.step = step;
    }

    @Override
    void enter(Course course) {
        if (step instanceof Step.Speed speed) {
            trim = new SpeedTrim(speed.rpm(), WITHIN_PERCENT, course.fanSpeeds);
        } else if (step instanceof Step.Duty duty) {
            course.setFans(duty.percent());
        } else {
            throw new IllegalStateException("no speed is known for the step " + step.text());
        }
    }

    @Override
    boolean tick(Course course) {
        if (step instanceof Step.Duty) {
            return elapsedSeconds(course) >= DUTY_SETTLE_SECONDS
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
