package org.plateaubench.engine;

import java.util.OptionalDouble;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.equilibrium.Verdict;
import org.plateaubench.plan.Measurement;
import org.plateaubench.units.Decimals;

/** Waiting under heat until the rise has settled. Readings are recorded, not used. */
final class SoakStage extends Stage {

    private final Measurement.Soak soak;
    private SlopeWatch watch;
    private Verdict verdict;

    SoakStage(Measurement.Soak soak) {
        super("soak");
        this.soak = soak;
    }

    @Override
    void enter(Course course) {
        if (!course.heatOn) {
            course.heatOn();
        }
        watch = new SlopeWatch(soak.until(), name(), course);
        verdict = watch.verdict();
    }

    @Override
    boolean tick(Course course) {
        watch.tick(course);
        verdict = watch.verdict();
        double elapsed = elapsedSeconds(course);
        boolean flat = verdict.settled() && !course.heatUnfelt;
        boolean settled = flat && elapsed >= soak.atLeastSeconds() && course.completedRuns >= wantedRuns(course);
        // Heat that never reached the coolant is told within some minutes; until then no pass may be over by it.
        if (!settled && (elapsed < soak.atMostSeconds() || course.heatUnfelt)) {
            return false;
        }
        course.settledBy = flat ? watch : null;
        course.decide(Stages.verdict(verdict, flat)
                .with("stage", name())
                .with("pass", course.pass.name())
                .with("after-seconds", elapsed, 1));
        return true;
    }

    private static int wantedRuns(Course course) {
        return course.plan
                .heat()
                .filter(HeatDemand.Workload.class::isInstance)
                .map(h -> ((HeatDemand.Workload) h).atLeastRuns())
                .orElse(0);
    }

    @Override
    boolean loaded() {
        return true;
    }

    @Override
    String waitsFor(Course course) {
        if (course.heatUnfelt && (verdict.settled() || elapsedSeconds(course) >= soak.atMostSeconds())) {
            return "the coolant has not felt the heat yet";
        }
        if (verdict.settled() && course.completedRuns < wantedRuns(course)) {
            return course.completedRuns + " of " + wantedRuns(course) + " runs of the workload complete";
        }
        if (verdict.windowFull()
                && soak.until().remainingRiseKelvin().isPresent()
                && verdict.slopeKelvinPerHour() + verdict.marginKelvinPerHour()
                        < soak.until().slopeKelvinPerHour()
                && verdict.remainingRiseKelvin()
                        > soak.until().remainingRiseKelvin().getAsDouble()) {
            return "up to " + Decimals.fixed(verdict.remainingRiseKelvin(), 2) + " K of rise may remain, limit "
                    + Decimals.shortest(soak.until().remainingRiseKelvin().getAsDouble(), 3) + " K";
        }
        return Stages.waitsFor(verdict, soak.until(), elapsedSeconds(course), soak.atLeastSeconds());
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return expectations.soakSeconds(soak);
    }

    @Override
    OptionalDouble slopeKelvinPerHour() {
        return Stages.finite(verdict.slopeKelvinPerHour());
    }

    @Override
    OptionalDouble slopeLimitKelvinPerHour() {
        return OptionalDouble.of(soak.until().slopeKelvinPerHour());
    }
}
