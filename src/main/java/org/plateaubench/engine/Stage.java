package org.plateaubench.engine;

import java.util.OptionalDouble;

/**
 * What the night is doing right now, such as pump-lock, cooldown or dwell. A stage is entered once, ticked until it says
 * that it is done, and then forgotten.
 */
abstract class Stage {

    private final String name;
    private double begunSeconds = Double.NaN;

    Stage(String name) {
        this.name = name;
    }

    final String name() {
        return name;
    }

    final void begin(Course course) {
        begunSeconds = course.seconds();
        enter(course);
    }

    /** Seconds since the stage was entered. */
    final double elapsedSeconds(Course course) {
        return course.seconds() - begunSeconds;
    }

    /** Sets what the stage needs set. */
    abstract void enter(Course course);

    /**
     * One tick.
     *
     * @return true once the stage is done
     */
    abstract boolean tick(Course course);

    /** Why it waits, one short line for the operator. */
    abstract String waitsFor(Course course);

    /** True if a pass's results depend on what happens now, so that conditions must hold. */
    boolean loaded() {
        return false;
    }

    /** True if fans may stand still meanwhile without being broken. */
    boolean fansMayStand() {
        return false;
    }

    /** True if what is read now is the result of the pass, so that a step of the clock spoils it. */
    boolean measures() {
        return false;
    }

    /** How long the stage will take from its beginning, as far as can be told, s. */
    abstract double expectedSeconds(Expectations expectations);

    /** The slope that the stage waits for, K/h, if it waits for one and has one. */
    OptionalDouble slopeKelvinPerHour() {
        return OptionalDouble.empty();
    }

    /** Limit of that slope, K/h. */
    OptionalDouble slopeLimitKelvinPerHour() {
        return OptionalDouble.empty();
    }
}
