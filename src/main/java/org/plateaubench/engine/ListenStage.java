package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.acoustics.GustRule;
import org.plateaubench.acoustics.Levels;
import org.plateaubench.acoustics.Listen;
import org.plateaubench.plan.Measurement;
import org.plateaubench.units.Decimals;

/**
 * Listening with the load off: to the fans at the duty that is set, or with the fans brought to rest to the background.
 */
final class ListenStage extends Stage {

    static final String BACKGROUND = "background";
    static final String FANS = "listen";

    /** Fans that still turn after so long without drive do not stop; a meter that is silent so long spoils the pass. */
    private static final double MOST_WAIT_SECONDS = 120.0;
    /** So long after the fans stopped, or after their duty was frozen, it is quiet but for what is listened to. */
    private static final double QUIET_SECONDS = 5.0;
    /** So long without a good reading of the level spoils the pass. */
    private static final double MISSING_SECONDS = 5.0;

    private final Measurement.Acoustic plan;
    private final boolean background;
    private final double listenSeconds;
    private final List<Double> blockLevels = new ArrayList<>();
    private List<Double> block = new ArrayList<>();
    private double sumRpm;
    private long speeds;
    private double quietSinceSeconds = Double.NaN;
    private double listenFromSeconds = Double.NaN;
    private double goodSeconds;
    private double blockSeconds;
    private long firstTick;
    private long lastTick;
    private boolean fansKeepTurning;

    private ListenStage(String name, Measurement.Acoustic plan, double listenSeconds) {
        super(name);
        this.plan = plan;
        this.background = name.equals(BACKGROUND);
        this.listenSeconds = listenSeconds;
    }

    static ListenStage background(Measurement.Acoustic plan) {
        return new ListenStage(BACKGROUND, plan, plan.backgroundListenSeconds());
    }

    static ListenStage fans(Measurement.Acoustic plan) {
        return new ListenStage(FANS, plan, plan.listenSeconds());
    }

    @Override
    void enter(Course course) {
        course.heatOff();
        blockSeconds = Math.max(plan.gusts().blockSeconds(), course.plan.sampleEverySeconds());
        if (background) {
            course.stopFans();
        }
    }

    @Override
    boolean tick(Course course) {
        if (Double.isNaN(listenFromSeconds)) {
            return waitForQuiet(course);
        }
        take(course);
        lastTick = course.tick();
        return course.seconds() - listenFromSeconds >= listenSeconds;
    }

    /** Listening begins some seconds after the fans stand, or turn as they shall, and the meter is heard from. */
    private boolean waitForQuiet(Course course) {
        boolean turning = background && !course.now().fansStand();
        boolean unheard = Double.isNaN(course.now().levelDb());
        if (turning || unheard) {
            quietSinceSeconds = Double.NaN;
            if (elapsedSeconds(course) >= MOST_WAIT_SECONDS) {
                fansKeepTurning = turning;
                if (!turning) {
                    noLevel(course);
                }
            }
            return fansKeepTurning;
        }
        if (Double.isNaN(quietSinceSeconds)) {
            quietSinceSeconds = course.seconds();
        }
        if (course.seconds() - quietSinceSeconds >= QUIET_SECONDS) {
            listenFromSeconds = course.seconds();
            goodSeconds = course.seconds();
            firstTick = course.tick() + 1;
        }
        return false;
    }

    private static void noLevel(Course course) {
        course.spoil("no good reading of the level for " + Decimals.shortest(MISSING_SECONDS, 1) + " s or more");
    }

    private void take(Course course) {
        double level = course.now().levelDb();
        if (!Double.isNaN(level)) {
            block.add(level);
            goodSeconds = course.seconds();
        } else if (course.seconds() - goodSeconds >= MISSING_SECONDS) {
            noLevel(course);
        }
        if (!Double.isNaN(course.now().fanRpm())) {
            sumRpm += course.now().fanRpm();
            speeds++;
        }
        double blocks = blockLevels.size() + 1;
        if (course.seconds() - listenFromSeconds >= blocks * blockSeconds && !block.isEmpty()) {
            blockLevels.add(Levels.meanDb(
                    block.stream().mapToDouble(Double::doubleValue).toArray()));
            block = new ArrayList<>();
        }
    }

    /** True if it ended because the fans did not come to rest. */
    boolean fansKeepTurning() {
        return fansKeepTurning;
    }

    /** What was heard. */
    Listen heard() {
        return Listen.of(
                listenFromSeconds,
                blockSeconds,
                blockLevels.stream().mapToDouble(Double::doubleValue).toArray(),
                new GustRule(
                        plan.gusts().aboveDb(),
                        (int) StrictMath.ceil(plan.gusts().guardSeconds() / blockSeconds),
                        plan.gusts().atMostPercent()));
    }

    /** Mean speed of the fans meanwhile, rpm; NaN without readings. */
    double meanRpm() {
        return speeds == 0 ? Double.NaN : sumRpm / speeds;
    }

    long firstTick() {
        return firstTick;
    }

    long lastTick() {
        return lastTick;
    }

    @Override
    boolean fansMayStand() {
        return background;
    }

    @Override
    boolean measures() {
        return true;
    }

    @Override
    String waitsFor(Course course) {
        if (Double.isNaN(listenFromSeconds)) {
            return background ? "fans coming to rest" : "quiet after the duty was set";
        }
        return (background ? "listening to the background, " : "listening to the fans, ")
                + Decimals.fixed(course.seconds() - listenFromSeconds, 0) + " of "
                + Decimals.shortest(listenSeconds, 1) + " s";
    }

    @Override
    double expectedSeconds(Expectations expectations) {
        return expectedSeconds(listenSeconds);
    }

    static double expectedSeconds(double listenSeconds) {
        return QUIET_SECONDS + listenSeconds;
    }
}
