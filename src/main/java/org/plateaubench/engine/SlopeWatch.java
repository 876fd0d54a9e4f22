package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.OptionalDouble;
import org.plateaubench.equilibrium.HeatingCycle;
import org.plateaubench.equilibrium.SlopeRule;
import org.plateaubench.equilibrium.Verdict;
import org.plateaubench.plan.Measurement;

/**
 * Waits for the rise of one stage to become flat. Where the ambient shows a heating cycle, its period joins the slope
 * rule unless the window is shorter, where it would only widen the margin; it is looked for when the stage begins and
 * again now and then while the rise does not become flat.
 */
final class SlopeWatch {

    private static final double LOOK_AGAIN_SECONDS = 600.0;
    private static final double UNSETTLED_LIMITS = 3.0;

    private final Measurement.Settle settle;
    private final String stage;
    /** What a rule with another period must see again: the window, and the time for which it must hold. */
    private final Deque<double[]> readings = new ArrayDeque<>();

    private SlopeRule rule;
    private boolean cycleFound;
    private double lookedSeconds;

    SlopeWatch(Measurement.Settle settle, String stage, Course course) {
        this.settle = settle;
        this.stage = stage;
        rule = rule(course, OptionalDouble.empty());
        look(course);
    }

    /** Takes the rise of this tick, if it has one. */
    void tick(Course course) {
        double rise = course.riseKelvin();
        if (Double.isNaN(rise)) {
            return;
        }
        double seconds = course.seconds();
        rule.add(seconds, rise);
        if (cycleFound) {
            return;
        }
        readings.addLast(new double[] {seconds, rise});
        while (readings.getFirst()[0] < seconds - settle.shortestSeconds()) {
            readings.removeFirst();
        }
        if (!rule.verdict().settled() && seconds - lookedSeconds >= LOOK_AGAIN_SECONDS) {
            look(course);
        }
    }

    /** Takes the rise of a tick of the dwell, by the rule that the soak settled by. */
    void dwell(Course course) {
        if (!Double.isNaN(course.riseKelvin())) {
            rule.add(course.seconds(), course.riseKelvin());
        }
    }

    /** True if the rise moves faster than several times the limit, beyond doubt: it has not stayed settled. */
    boolean unsettled() {
        Verdict now = rule.verdict();
        return Math.abs(now.slopeKelvinPerHour()) - now.marginKelvinPerHour()
                > UNSETTLED_LIMITS * settle.slopeKelvinPerHour();
    }

    Verdict verdict() {
        return rule.verdict();
    }

    private void look(Course course) {
        lookedSeconds = course.seconds();
        course.ambientHistory()
                .cycle()
                .filter(c -> c.periodSeconds() <= settle.windowSeconds())
                .ifPresent(cycle -> found(cycle, course));
    }

    private void found(HeatingCycle cycle, Course course) {
        course.decide(Decision.of("heating-cycle")
                .with("stage", stage)
                .with("period-seconds", cycle.periodSeconds(), 1)
                .with("amplitude", cycle.amplitudeKelvin(), 4)
                .with("explained-share", cycle.explainedShare(), 3)
                .with("from-tick", course.ambientHistory().firstTick())
                .with("to-tick", course.ambientHistory().lastTick()));
        cycleFound = true;
        rule = rule(course, OptionalDouble.of(cycle.periodSeconds()));
        readings.forEach(r -> rule.add(r[0], r[1]));
        readings.clear();
    }

    private SlopeRule rule(Course course, OptionalDouble cyclePeriodSeconds) {
        return new SlopeRule(
                settle.slopeKelvinPerHour(),
                settle.windowSeconds(),
                settle.forSeconds(),
                settle.remainingRiseKelvin(),
                course.bench.slowTimeConstantSeconds(),
                course.coolantStepKelvin(),
                cyclePeriodSeconds);
    }
}
