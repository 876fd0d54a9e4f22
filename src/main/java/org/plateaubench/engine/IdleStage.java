package org.plateaubench.engine;

import java.util.OptionalDouble;
import org.plateaubench.equilibrium.Verdict;
import org.plateaubench.plan.Measurement;
import org.plateaubench.units.Decimals;

/**
 * Waiting for idle equilibrium, load off, fans at the cooldown duty: the slope rule holds on the rise. As a cooldown the
 * rise must also come near the baseline; as a baseline it is averaged for a while afterwards.
 */
final class IdleStage extends Stage {

    static final String BASELINE = "baseline";
    static final String COOLDOWN = "cooldown";

    private static final double BASELINE_AVERAGE_SECONDS = 120.0;

    private final Measurement.Cooldown cooldown;
    private final boolean baseline;
    private SlopeWatch watch;
    private Verdict verdict;
    private double settledSeconds = Double.NaN;
    private boolean settled;
    private double sumKelvin;
    private long readings;
    private long firstTick;

    private IdleStage(String name, Measurement.Cooldown cooldown, boolean baseline) {
        super(name);
        this.cooldown = cooldown;
        this.baseline = baseline;
    }

    static IdleStage cooldown(Measurement.Cooldown cooldown) {
        return new IdleStage(COOLDOWN, cooldown, false);
    }

    static IdleStage baseline(Measurement.Cooldown cooldown) {
        return new IdleStage(BASELINE, cooldown, true);
    }

    @Override
    void enter(Course course) {
        course.heatOff();
        course.setFans(cooldown.dutyPercent());
        watch = new SlopeWatch(cooldown.until(), name(), course);
        verdict = watch.verdict();
    }

    @Override
    boolean tick(Course course) {
        double rise = course.riseKelvin();
        if (!Double.isNaN(settledSeconds)) {
            return average(course, rise);
        }
        watch.tick(course);
        verdict = watch.verdict();
        double elapsed = elapsedSeconds(course);
        settled = verdict.settled() && elapsed >= cooldown.atLeastSeconds() && nearBaseline(rise, course);
        if (!settled && elapsed < cooldown.atMostSeconds()) {
            return false;
        }
        course.decide(Stages.verdict(verdict, settled)
                .with("stage", name())
                .with("rise", rise, 3)
                .with("after-seconds", elapsed, 1));
        settledSeconds = course.seconds();
        firstTick = course.tick() + 1;
        return !baseline;
    }

    private boolean nearBaseline(double rise, Course course) {
        return baseline
                || course.baselineKelvin.isEmpty()
                || Math.abs(rise - course.baselineKelvin.getAsDouble()) <= cooldown.withinBaselineKelvin();
    }

    private boolean average(Course course, double rise) {
        if (!Double.isNaN(rise)) {
            sumKelvin += rise;
            readings++;
        }
        if (course.seconds() - settledSeconds < BASELINE_AVERAGE_SECONDS || readings == 0) {
            return false;
        }
        double mean = sumKelvin / readings;
        boolean first = course.baselineKelvin.isEmpty();
        if (first) {
            course.baselineKelvin = OptionalDouble.of(mean);
        }
        course.decide(Decision.of("baseline")
                .with("at", first ? "start" : "end")
                .with("rise", mean, 4)
                .with("settled", settled)
                .with("from-tick", firstTick)
                .with("to-tick", course.tick()));
        return true;
    }

    @Override
    String waitsFor(Course course) {
        if (!Double.isNaN(settledSeconds)) {
            return "averaging the baseline";
        }
        double rise = course.riseKelvin();
        if (verdict.settled() && !nearBaseline(rise, course)) {
            return "rise " + Decimals.fixed(rise, 2) + " K, wanted within "
                    + Decimals.shortest(cooldown.withinBaselineKelvin(), 3) + " K of the baseline "
                    + Decimals.fixed(course.baselineKelvin.orElse(0), 2) + " K";
        }
        return Stages.waitsFor(verdict, cooldown.until(), elapsedSeconds(course), cooldown.atLeastSeconds());
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return expectations.idleSeconds(cooldown, baseline);
    }

    @Override
    OptionalDouble slopeKelvinPerHour() {
        return Stages.finite(verdict.slopeKelvinPerHour());
    }

    @Override
    OptionalDouble slopeLimitKelvinPerHour() {
        return OptionalDouble.of(cooldown.until().slopeKelvinPerHour());
    }
}
