package org.plateaubench.engine;

import java.util.Arrays;
import org.plateaubench.units.Decimals;

/**
 * Seeks, in small steps of the duty, where each fan starts from rest, and then where it stops while running.
 */
final class StartStopStage extends Stage {

    /** Step of the search, %. */
    static final double STEP_PERCENT = 0.5;
    /** Where a fan starts at the first duty tried, the search begins again so much lower. */
    private static final double LOWER_PERCENT = 10.0;

    private static final double REST_SECONDS = 90.0;
    private static final double RUN_SECONDS = 10.0;
    private static final double LEAST_STEP_SECONDS = 3.0;
    private static final int LEAST_STEP_READINGS = 3;
    /** A fan has started once it turns at this share of its lowest speed, and has stopped below the other. */
    private static final double STARTED_SHARE = 0.25;

    private static final double STOPPED_SHARE = 0.5;

    private enum Phase {
        REST,
        RISING,
        RUN,
        FALLING
    }

    /**
     * What is known of the fans beforehand.
     *
     * @param fromPercent lowest duty that may be set, %
     * @param toPercent highest duty that may be set, %
     * @param risingPercent duty at which the search for the start begins, %
     * @param fallingPercent duty at which the search for the stop begins, %
     * @param lowestRpm lowest speed at which each fan was seen turning, rpm
     * @param stops which fans stand at the lowest duty
     * @param spinUpSeconds time constant of gaining speed, s
     * @param coastDownSeconds time constant of losing speed, s
     */
    record Known(
            double fromPercent,
            double toPercent,
            double risingPercent,
            double fallingPercent,
            double[] lowestRpm,
            boolean[] stops,
            double spinUpSeconds,
            double coastDownSeconds) {}

    private final Known known;
    private final FanWatch watch = new FanWatch();
    private final double[] startPercent;
    private final double[] stopPercent;
    private final double[] slowestRpm;
    private Phase phase = Phase.REST;
    private double beginPercent;
    private int readings;
    private long firstTick;

    StartStopStage(Known known) {
        super("start-stop");
        this.known = known;
        this.beginPercent = onGrid(known.risingPercent());
        startPercent = nothing(known);
        stopPercent = nothing(known);
        slowestRpm = nothing(known);
    }

    private static double[] nothing(Known known) {
        double[] values = new double[known.stops().length];
        Arrays.fill(values, Double.NaN);
        return values;
    }

    private double onGrid(double percent) {
        double rounded = Math.rint(percent / STEP_PERCENT) * STEP_PERCENT;
        return Math.min(known.toPercent(), Math.max(known.fromPercent(), rounded));
    }

    @Override
    void enter(Course course) {
        course.heatOff();
        firstTick = course.tick() + 1;
        set(known.fromPercent(), course);
    }

    private void set(double percent, Course course) {
        watch.reset();
        readings = 0;
        course.setFans(percent);
    }

    @Override
    boolean tick(Course course) {
        double[] rpm = course.now().fanSpeedsRpm();
        watch.add(rpm);
        readings++;
        double sinceSeconds = course.seconds() - course.dutySetSeconds;
        return switch (phase) {
            case REST -> rest(rpm, sinceSeconds, course);
            case RISING -> rising(rpm, sinceSeconds, course);
            case RUN -> run(sinceSeconds, course);
            case FALLING -> falling(rpm, sinceSeconds, course);
        };
    }

    private boolean rest(double[] rpm, double sinceSeconds, Course course) {
        if (readings >= LEAST_STEP_READINGS && each(fan -> rpm[fan] == 0.0)) {
            phase = Phase.RISING;
            set(beginPercent, course);
        } else if (sinceSeconds >= REST_SECONDS) {
            course.spoil("the fans do not come to rest at " + Decimals.shortest(known.fromPercent(), 2) + " % duty");
        }
        return false;
    }

    private boolean rising(double[] rpm, double sinceSeconds, Course course) {
        if (!held(sinceSeconds, known.spinUpSeconds())) {
            return false;
        }
        double duty = course.fanDutyPercent;
        boolean anew = false;
        for (int fan = 0; fan < rpm.length; fan++) {
            boolean turns = rpm[fan] > STARTED_SHARE * known.lowestRpm()[fan];
            if (known.stops()[fan] && Double.isNaN(startPercent[fan]) && turns) {
                startPercent[fan] = duty;
                anew |= duty == beginPercent && duty > known.fromPercent();
            }
        }
        if (anew) {
            Arrays.fill(startPercent, Double.NaN);
            beginPercent = onGrid(beginPercent - LOWER_PERCENT);
            phase = Phase.REST;
            set(known.fromPercent(), course);
        } else if (each(fan -> !Double.isNaN(startPercent[fan])) || duty >= known.toPercent()) {
            phase = Phase.RUN;
            set(onGrid(Math.max(duty, known.fallingPercent())), course);
        } else {
            set(onGrid(duty + STEP_PERCENT), course);
        }
        return false;
    }

    private boolean run(double sinceSeconds, Course course) {
        if (sinceSeconds >= RUN_SECONDS) {
            phase = Phase.FALLING;
            set(onGrid(known.fallingPercent()), course);
        }
        return false;
    }

    private boolean falling(double[] rpm, double sinceSeconds, Course course) {
        if (!held(sinceSeconds, 2 * known.coastDownSeconds())) {
            return false;
        }
        double duty = course.fanDutyPercent;
        for (int fan = 0; fan < rpm.length; fan++) {
            boolean turns = rpm[fan] >= STOPPED_SHARE * known.lowestRpm()[fan];
            if (known.stops()[fan] && turns && !Double.isNaN(startPercent[fan])) {
                stopPercent[fan] = duty;
                slowestRpm[fan] = watch.means()[fan];
            }
        }
        double next = onGrid(duty - STEP_PERCENT);
        if (next >= duty || each(fan -> stopPercent[fan] != duty)) {
            return true;
        }
        set(next, course);
        return false;
    }

    private boolean held(double sinceSeconds, double wantedSeconds) {
        return readings >= LEAST_STEP_READINGS && sinceSeconds >= Math.max(LEAST_STEP_SECONDS, wantedSeconds);
    }

    /** Tells whether something holds for each fan that stops at all. */
    private boolean each(java.util.function.IntPredicate holds) {
        for (int fan = 0; fan < known.stops().length; fan++) {
            if (known.stops()[fan] && !holds.test(fan)) {
                return false;
            }
        }
        return true;
    }

    /** Lowest duty at which each fan started, %; NaN for one that did not. */
    double[] startPercent() {
        return startPercent;
    }

    /** Lowest duty at which each fan kept turning, %; NaN for one that did not. */
    double[] stopPercent() {
        return stopPercent;
    }

    /** Speed of each fan at that duty, rpm. */
    double[] slowestRpm() {
        return slowestRpm;
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
        String duty = " at " + Decimals.shortest(course.fanDutyPercent, 2) + " % duty";
        return switch (phase) {
            case REST -> "fans coming to rest" + duty;
            case RISING -> "fans to start," + duty;
            case RUN -> "fans to run" + duty;
            case FALLING -> "fans to stop," + duty;
        };
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return EXPECTED_SECONDS;
    }

    /** About fifteen steps up and as many down. */
    static final double EXPECTED_SECONDS = 180.0;
}
