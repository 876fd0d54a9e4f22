package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.plan.Measurement;
import org.plateaubench.units.Decimals;

/** One sweep of the fans' duty, up and down, each duty held until the speeds have settled. */
final class SweepStage extends Stage {

    /** A duty is held at most so many times as long as the plan says; then it is taken as it is. */
    private static final double MOST_HOLDS = 5.0;

    /**
     * One duty of the sweep.
     *
     * @param dutyPercent duty, %
     * @param rising true on the way up
     * @param rpm settled speed of each fan, rpm; 0 for one that stood, NaN for one without a reading
     * @param fromTick first tick that was averaged
     * @param toTick last tick that was averaged
     */
    record Point(double dutyPercent, boolean rising, double[] rpm, long fromTick, long toTick) {}

    private final Measurement.Characterise plan;
    private final FanWatch watch = new FanWatch();
    private final List<Double> duties;
    private final List<Point> points = new ArrayList<>();
    /** Which duty is held: 0 is the lowest, before the way up; then up, then down again. */
    private int held;

    SweepStage(Measurement.Characterise plan) {
        super("sweep");
        this.plan = plan;
        this.duties = duties(plan);
    }

    /** The duties of the way up. */
    private static List<Double> duties(Measurement.Characterise plan) {
        List<Double> up = new ArrayList<>();
        for (int i = 0; plan.fromPercent() + i * plan.byPercent() < plan.toPercent(); i++) {
            up.add(plan.fromPercent() + i * plan.byPercent());
        }
        up.add(plan.toPercent());
        return up;
    }

    private double duty() {
        int top = duties.size() - 1;
        return duties.get(held <= top ? held : 2 * top - held);
    }

    @Override
    void enter(Course course) {
        course.heatOff();
        course.setFans(duty());
    }

    @Override
    boolean tick(Course course) {
        watch.add(course.now().fanSpeedsRpm());
        double sinceSeconds = course.seconds() - course.dutySetSeconds;
        boolean over = sinceSeconds >= MOST_HOLDS * plan.settleSeconds();
        if (sinceSeconds < plan.settleSeconds() || !(watch.settled() || over)) {
            return false;
        }
        if (held > 0) {
            points.add(new Point(
                    duty(), held < duties.size(), watch.means(), course.tick() - FanWatch.READINGS + 1, course.tick()));
        }
        held++;
        if (held > 2 * (duties.size() - 1)) {
            return true;
        }
        watch.reset();
        course.setFans(duty());
        return false;
    }

    List<Point> points() {
        return points;
    }

    @Override
    boolean fansMayStand() {
        return true;
    }

    @Override
    String waitsFor(Course course) {
        return "fans settling at " + Decimals.shortest(course.fanDutyPercent, 2) + " % duty, "
                + (held < duties.size() ? "on the way up" : "on the way down");
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return expectedSeconds(plan);
    }

    static double expectedSeconds(Measurement.Characterise plan) {
        return (2 * duties(plan).size() - 1) * plan.settleSeconds();
    }
}
