package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.plan.Measurement;

/** Lets the fans gain all their speed and lose it again, and keeps every reading: for their time constants. */
final class SpinStage extends Stage {

    private static final double MOST_SECONDS = 120.0;
    private static final double USUAL_SECONDS = 20.0;

    /**
     * The course of the fans' speeds after a change of duty.
     *
     * @param seconds time of each reading, s; the first is that of the change
     * @param rpm speeds of the fans at each of them, rpm
     * @param settledRpm what each fan settled at, rpm
     */
    record Run(List<Double> seconds, List<double[]> rpm, double[] settledRpm) {

        double[] times() {
            return seconds.stream().mapToDouble(Double::doubleValue).toArray();
        }

        double[] of(int fan) {
            return rpm.stream().mapToDouble(all -> all[fan]).toArray();
        }
    }

    private final Measurement.Characterise plan;
    private final FanWatch watch = new FanWatch();
    private final List<Run> runs = new ArrayList<>();
    private List<Double> seconds = new ArrayList<>();
    private List<double[]> rpm = new ArrayList<>();
    private long firstTick;

    SpinStage(Measurement.Characterise plan) {
        super("spin");
        this.plan = plan;
    }

    @Override
    void enter(Course course) {
        course.heatOff();
        firstTick = course.tick() + 1;
        course.setFans(plan.fromPercent());
    }

    @Override
    boolean tick(Course course) {
        double[] speeds = course.now().fanSpeedsRpm();
        watch.add(speeds);
        seconds.add(course.seconds());
        rpm.add(speeds);
        double sinceSeconds = course.seconds() - course.dutySetSeconds;
        boolean settled = sinceSeconds >= plan.settleSeconds() && watch.settled();
        if (!settled && sinceSeconds < MOST_SECONDS) {
            return false;
        }
        runs.add(new Run(seconds, rpm, watch.means()));
        if (runs.size() == 3) {
            return true;
        }
        watch.reset();
        seconds = new ArrayList<>(List.of(course.seconds()));
        rpm = new ArrayList<>(List.of(speeds));
        course.setFans(runs.size() == 1 ? plan.toPercent() : plan.fromPercent());
        return false;
    }

    /** The way to the highest duty. */
    Run up() {
        return runs.get(1);
    }

    /** The way back to the lowest duty. */
    Run down() {
        return runs.get(2);
    }

    long firstTick() {
        return firstTick;
    }

    @Override
    boolean fansMayStand() {
        return true;
    }

    @Override
    String waitsFor(Course course) {
        return switch (runs.size()) {
            case 0 -> "fans coming to rest";
            case 1 -> "fans gaining speed";
            default -> "fans losing speed";
        };
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return expectedSeconds(plan);
    }

    static double expectedSeconds(Measurement.Characterise plan) {
        return 3 * Math.max(USUAL_SECONDS, plan.settleSeconds());
    }
}
