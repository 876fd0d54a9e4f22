package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Stream;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.plan.Plan;
import org.plateaubench.units.Decimals;

/**
 * The table of events: what goes wrong, and what follows. It asks the course to spoil the pass or to end the run; it
 * never sets anything but the heat, and that only off.
 */
final class Guard {

    private static final double COOLANT_MISSING_SECONDS = 5.0;
    private static final double OTHERS_MISSING_SECONDS = 30.0;
    private static final double LIMIT_MISSING_SECONDS = 30.0;
    private static final double BROKEN_SECONDS = 3.0;
    private static final double FROZEN_LEAST_WATTS = 50.0;
    private static final double STALL_SECONDS = 10.0;
    private static final double GONE_SECONDS = 60.0;
    private static final double READBACK_PERCENT = 0.6;
    private static final double SUPPLY_WATTS = 2.0;
    private static final double SUPPLY_SHARE = 0.05;
    /** A speed may drift a little once heat is on; by more than this share it is another duty's. */
    private static final double FAN_SPEED_SHARE = 0.05;
    /** What is left of the highest heat flow when the heat is gone; turbo phases are at most twice the rest. */
    private static final double HEAT_FLOW_SHARE = 1.0 / 3.0;

    private static final double HEAT_FLOW_SECONDS = 10.0;
    private static final int MOST_RESETS = 3;
    private static final double RESETS_SECONDS = 3600.0;
    private static final double AMBIENT_STEP_KELVIN = 1.0;
    private static final double AMBIENT_BUCKET_SECONDS = 60.0;
    private static final int AMBIENT_BUCKETS = 5;
    private static final int MOST_HEAT_OFF_FAILURES = 3;
    private static final double HEAT_OFF_AGAIN_SECONDS = 3.0;
    /** A silence is longer than the ticks around it show. */
    private static final double SILENCE_MARGIN_SECONDS = 1.0;

    private final Plan plan;
    private final BenchFile bench;
    private final List<LimitWatch> limits = new ArrayList<>();
    private final List<ConditionWatch> conditions = new ArrayList<>();
    private final List<FrozenWatch> frozen = new ArrayList<>();
    private final List<ThermometerWatch> coolant = new ArrayList<>();
    private final List<ThermometerWatch> ambient = new ArrayList<>();
    private final Set<String> neededDevices = new LinkedHashSet<>();
    /** The supply's device where the plan's heat comes from it; else empty. */
    private final String supplyDevice;

    /** The silence after which the heat's cut-off acts where that cannot be read back, s; infinite without one. */
    private final double unseenCutoffSeconds;

    private final int fanDutyColumn;
    private final int pumpDutyColumn;
    private final List<String> fanNames;
    private final double[] stalledSinceSeconds;

    private final Map<String, Double> goneSinceSeconds = new LinkedHashMap<>();
    private final Deque<Double> resetSeconds = new ArrayDeque<>();
    private final Deque<Double> ambientBuckets = new ArrayDeque<>();
    private double ambientBucketSum;
    private int ambientBucketReadings;
    private double ambientBucketSeconds = Double.NaN;
    /** When each needed channel was last read well, s. */
    private final Map<String, Double> goodSeconds = new LinkedHashMap<>();

    private double pumpBrokenSeconds = Double.NaN;
    private double fansAstraySeconds = Double.NaN;
    private double supplyAstraySeconds = Double.NaN;
    private double heatFlowGoneSeconds = Double.NaN;
    /** Least of the stretch of readings under way, which is to tell what lasts from a single wrong number, W. */
    private double lastingHeatFlowWatts = Double.POSITIVE_INFINITY;

    private double lastingSinceSeconds = Double.NaN;
    private double lastHeatChangeSeconds = Double.NEGATIVE_INFINITY;
    private int heatOffFailures;
    /** True while the supply could not be told to switch the heat off because its device is gone. */
    private boolean heatOffOwed;

    private double heatOffTriedSeconds;

    private boolean relock;
    /** Name of a needed channel that has been unread for too long; null if there is none. */
    private String blindTo;

    Guard(Plan plan, BenchFile bench) {
        this.plan = plan;
        this.bench = bench;
        plan.limitsOn(bench).forEach(l -> limits.add(new LimitWatch(l, bench.indexOf(l.channel()))));
        plan.conditions().forEach(c -> conditions.add(new ConditionWatch(c, bench.indexOf(c.channel()))));
        bench.channels().stream()
                .filter(c -> c.frozenAfterSeconds().isPresent())
                .forEach(c -> frozen.add(new FrozenWatch(
                        c.name(),
                        bench.indexOf(c.name()),
                        c.frozenAfterSeconds().getAsDouble())));
        fanDutyColumn = readbackColumn(BenchFile.FAN_DUTY);
        pumpDutyColumn = readbackColumn(BenchFile.PUMP_DUTY);
        fanNames = bench.group(BenchFile.FANS);
        stalledSinceSeconds = new double[fanNames.size()];
        java.util.Arrays.fill(stalledSinceSeconds, Double.NaN);
        bench.channelsOf(BenchFile.COOLANT)
                .forEach(c -> coolant.add(new ThermometerWatch(c.name(), bench.indexOf(c.name()))));
        bench.channelsOf(BenchFile.AMBIENT)
                .forEach(c -> ambient.add(new ThermometerWatch(c.name(), bench.indexOf(c.name()))));
        supplyDevice = plan.heat()
                .filter(HeatDemand.Power.class::isInstance)
                .flatMap(h -> bench.supply())
                .map(SupplySpec::device)
                .orElse("");
        if (!supplyDevice.isEmpty()) {
            neededDevices.add(supplyDevice);
        }
        bench.actuators().stream().map(ActuatorSpec::device).forEach(neededDevices::add);
        unseenCutoffSeconds = bench.supply()
                .filter(s -> s.device().equals(supplyDevice) && s.readback().isEmpty())
                .flatMap(SupplySpec::cutoff)
                .map(SupplySpec.Cutoff::silenceSeconds)
                .orElse(Double.POSITIVE_INFINITY);
        Stream.of(
                        bench.channelsOf(BenchFile.AMBIENT).stream(),
                        bench.channelsOf(BenchFile.COOLANT).stream(),
                        fanNames.stream().flatMap(f -> bench.channel(f).stream()),
                        bench.channel(BenchFile.PUMP).stream(),
                        limits.stream().flatMap(l -> bench.channel(l.limit.channel()).stream()),
                        plan.conditions().stream().flatMap(c -> bench.channel(c.channel()).stream()))
                .flatMap(s -> s)
                .map(ChannelSpec::device)
                .forEach(neededDevices::add);
    }

    private int readbackColumn(String actuator) {
        return bench.actuator(actuator).flatMap(ActuatorSpec::readback).isPresent() ? bench.indexOf(actuator) : -1;
    }

    static boolean within(double rpm, Plan.PumpLock lock) {
        return Math.abs(rpm - lock.rpm()) <= lock.rpm() * lock.withinPercent() / 100.0;
    }

    /** True while a needed device is gone or a needed channel unread: nothing is set and no stage goes on. */
    boolean holding() {
        return !goneSinceSeconds.isEmpty() || blindTo != null;
    }

    /** What the night waits for while it holds, one short line. */
    String holdsFor() {
        return goneSinceSeconds.isEmpty() ? "no good reading of " + blindTo : "a device is gone";
    }

    /** True once after outputs may have been reset: pump and fans must be set and locked again. */
    boolean takeRelock() {
        boolean taken = relock;
        relock = false;
        return taken;
    }

    /** A new pass begins: what must stay unchanged is noted anew. */
    void passBegins() {
        conditions.forEach(ConditionWatch::reset);
        heatFlowGoneSeconds = Double.NaN;
    }

    void take(Input input, Course course, boolean dwelling) {
        if (input instanceof Input.Operator operator) {
            course.end(Exit.ENDED_EARLY, "ended by " + operator.by(), false);
        } else if (input instanceof Input.Signal signal) {
            if (!signal.name().equals("HUP")) {
                course.end(Exit.ENDED_EARLY, "signal " + signal.name(), false);
            }
        } else if (input instanceof Input.StorageFault fault) {
            course.end(Exit.ENDED_EARLY, "the record cannot be written: " + fault.detail(), false);
        } else if (input instanceof Input.ClockEvent event) {
            take(event, course, dwelling);
        } else if (input instanceof Input.LoadNews news) {
            take(news, course);
        } else if (input instanceof Input.DeviceNews news) {
            take(news, course);
        } else if (input instanceof Input.CommandResult result) {
            take(result, course);
        } else if (input instanceof Input.Resume resume) {
            resumed(resume, course);
        }
    }

    /**
     * A cut-off that heard nothing for its time may have acted. And while the machine stood still nothing was watched: that
     * is no silence of a sensor, nor does a sensor stand still because it reads the same before and after.
     */
    private void take(Input.ClockEvent event, Course course, boolean dwelling) {
        if (event.kind().equals("stall")) {
            goodSeconds.replaceAll((channel, seconds) -> seconds + event.seconds());
            coolant.forEach(ThermometerWatch::release);
            frozen.forEach(FrozenWatch::reset);
        }
        String what = "clock " + event.kind() + " of " + Decimals.fixed(event.seconds(), 1) + " s";
        if (!event.kind().equals("zone") && event.seconds() > unseenCutoffSeconds - SILENCE_MARGIN_SECONDS) {
            course.heatOff();
            course.spoil(what + ": the cut-off of the heat may have acted");
            relock = true;
        } else if (dwelling) {
            course.spoil(what + " in the dwell");
        }
    }

    /** The loop may have been at rest for hours, so that coolant that does not move now is no frozen sensor. */
    private void resumed(Input.Resume resume, Course course) {
        course.heatOff();
        lastHeatChangeSeconds = course.heatChangedSeconds;
        course.spoil("resumed after a gap of " + Decimals.fixed(resume.gapSeconds(), 0) + " s");
        relock = true;
    }

    private void take(Input.LoadNews news, Course course) {
        if (news.kind() == Input.LoadNews.Kind.COMPLETED && course.heatOn) {
            course.completedRuns++;
        } else if (news.kind() == Input.LoadNews.Kind.FAILED) {
            course.spoil("workload failed: " + news.detail());
            course.heatOff();
        }
    }

    private void take(Input.DeviceNews news, Course course) {
        if (!neededDevices.contains(news.device())) {
            return;
        }
        switch (news.kind()) {
            case GONE -> {
                goneSinceSeconds.putIfAbsent(news.device(), course.seconds());
                course.heatOff();
                course.spoil("device " + news.device() + " gone");
            }
            case BACK -> {
                goneSinceSeconds.remove(news.device());
                resetHappened(course, "device " + news.device() + " came back");
                if (heatOffOwed && news.device().equals(supplyDevice)) {
                    heatOffOwed = false;
                    heatOffAgain(course);
                }
            }
            case RESTARTED -> resetHappened(course, "device " + news.device() + " " + news.detail());
            case OTHER_IDENTITY -> {
                goneSinceSeconds.putIfAbsent(news.device(), course.seconds());
                course.heatOff();
                course.spoil("device " + news.device() + " answers as another one: " + news.detail());
            }
        }
    }

    private void take(Input.CommandResult result, Course course) {
        if (result.target().equals("heat")) {
            if (result.done()) {
                heatOffFailures = 0;
                heatOffOwed = false;
            } else if (course.heatOn) {
                course.spoil("heat could not be switched on: " + result.detail());
                course.heatOff();
            } else if (goneSinceSeconds.containsKey(supplyDevice)) {
                heatOffOwed = true;
                heatOffTriedSeconds = course.seconds();
            } else if (++heatOffFailures >= MOST_HEAT_OFF_FAILURES) {
                course.end(Exit.BENCH_FAULT, "heat could not be switched off: " + result.detail(), false);
            } else {
                heatOffAgain(course);
            }
        } else if (!result.done() && goneSinceSeconds.isEmpty()) {
            resetHappened(
                    course,
                    result.target() + " was set to " + result.asked() + " but "
                            + (result.readback().isEmpty() ? result.detail() : "reads back " + result.readback()));
        }
    }

    private static void heatOffAgain(Course course) {
        course.heatOn = true;
        course.heatOff();
    }

    private void resetHappened(Course course, String what) {
        course.heatOff();
        course.spoil(what);
        relock = true;
        resetSeconds.addLast(course.seconds());
        while (course.seconds() - resetSeconds.getFirst() > RESETS_SECONDS) {
            resetSeconds.removeFirst();
        }
        course.decide(Decision.of("reset").with("reason", what).with("within-an-hour", resetSeconds.size()));
        if (resetSeconds.size() >= MOST_RESETS) {
            course.end(Exit.BENCH_FAULT, what + ": the third time within an hour", false);
        }
    }

    void tick(Course course, Stage stage) {
        Readout now = course.now();
        gone(course);
        limits.forEach(l -> l.check(course));
        if (!goneSinceSeconds.isEmpty()) {
            coolant.forEach(ThermometerWatch::release);
            return;
        }
        boolean mayStand = stage != null && stage.fansMayStand();
        missing(course, now, mayStand);
        thermometers(course);
        frozen.forEach(f -> f.check(course));
        stalls(course, now, mayStand);
        readback(course, fanDutyColumn, course.fanDutyPercent, BenchFile.FAN_DUTY);
        readback(course, pumpDutyColumn, course.pumpDutyPercent, BenchFile.PUMP_DUTY);
        supply(course, now);
        pump(course, now);
        ambientStep(course, now);
        boolean loaded = stage != null && stage.loaded();
        fansAstray(course, now, loaded);
        if (loaded) {
            conditions.forEach(c -> c.check(course));
            heatFlow(course, now);
        }
    }

    private void gone(Course course) {
        if (heatOffOwed && course.seconds() - heatOffTriedSeconds >= HEAT_OFF_AGAIN_SECONDS) {
            // It may hear though nothing comes back that can be understood.
            heatOffOwed = false;
            heatOffAgain(course);
        }
        goneSinceSeconds.forEach((device, since) -> {
            if (course.seconds() - since >= GONE_SECONDS) {
                course.end(
                        Exit.BENCH_FAULT,
                        "device " + device + " gone for " + Decimals.fixed(course.seconds() - since, 0)
                                + " s and not found again",
                        false);
            }
        });
    }

    private void missing(Course course, Readout now, boolean fansMayStand) {
        blindTo = null;
        whenMissing(course, BenchFile.COOLANT, now.coolantCelsius(), COOLANT_MISSING_SECONDS);
        whenMissing(course, BenchFile.AMBIENT, now.ambientCelsius(), COOLANT_MISSING_SECONDS);
        if (bench.channel(BenchFile.CPU).isPresent()) {
            whenMissing(course, BenchFile.CPU, now.cpuCelsius(), OTHERS_MISSING_SECONDS);
        }
        whenMissing(course, BenchFile.PUMP, now.pumpRpm(), OTHERS_MISSING_SECONDS);
        double[] speeds = now.fanSpeedsRpm();
        for (int i = 0; i < speeds.length; i++) {
            // Some controllers have no number for a fan at rest.
            whenMissing(course, fanNames.get(i), fansMayStand ? 0.0 : speeds[i], OTHERS_MISSING_SECONDS);
        }
    }

    private void whenMissing(Course course, String channel, double value, double limitSeconds) {
        double seconds = course.seconds();
        if (!Double.isNaN(value)) {
            goodSeconds.put(channel, seconds);
        }
        double missingSeconds = seconds - goodSeconds.computeIfAbsent(channel, c -> seconds);
        if (missingSeconds >= OTHERS_MISSING_SECONDS) {
            course.heatOff();
        }
        if (missingSeconds >= limitSeconds) {
            course.spoil("no good reading of " + channel + " for " + Decimals.shortest(limitSeconds, 1) + " s");
            blindTo = channel;
        }
        if (missingSeconds >= GONE_SECONDS) {
            course.end(
                    Exit.BENCH_FAULT,
                    "no good reading of " + channel + " for " + Decimals.fixed(GONE_SECONDS, 0) + " s",
                    false);
        }
    }

    private void thermometers(Course course) {
        if (course.heatChangedSeconds != lastHeatChangeSeconds) {
            double steadySeconds = course.heatChangedSeconds - lastHeatChangeSeconds;
            lastHeatChangeSeconds = course.heatChangedSeconds;
            if (changesEnough()) {
                coolant.forEach(t -> t.heatChanged(steadySeconds, course));
            }
        }
        coolant.forEach(t -> t.check(course));
        ambient.forEach(t -> t.check(course));
        course.heatUnfelt = coolant.stream().anyMatch(ThermometerWatch::awaited);
    }

    private boolean changesEnough() {
        return plan.heat()
                .filter(h -> !(h instanceof HeatDemand.Power power && power.watts() < FROZEN_LEAST_WATTS))
                .isPresent();
    }

    private void stalls(Course course, Readout now, boolean mayStand) {
        double[] speeds = now.fanSpeedsRpm();
        for (int i = 0; i < speeds.length; i++) {
            boolean stalled = speeds[i] == 0.0 && !mayStand && course.fanDutyPercent > course.mayStandPercent;
            if (!stalled) {
                stalledSinceSeconds[i] = Double.NaN;
            } else if (Double.isNaN(stalledSinceSeconds[i])) {
                stalledSinceSeconds[i] = course.seconds();
            } else if (course.seconds() - stalledSinceSeconds[i] >= STALL_SECONDS) {
                course.end(
                        Exit.BENCH_FAULT,
                        fanNames.get(i) + " stands still at " + Decimals.shortest(course.fanDutyPercent, 2) + " % duty",
                        false);
            }
        }
    }

    private void readback(Course course, int column, double commandedPercent, String actuator) {
        double readback = course.now().value(column);
        if (Double.isNaN(readback) || Double.isNaN(commandedPercent) || course.seconds() <= course.dutySetSeconds) {
            return;
        }
        if (Math.abs(readback - commandedPercent) > READBACK_PERCENT && !relock) {
            resetHappened(
                    course,
                    actuator + " reads back " + Decimals.shortest(readback, 2) + " %, set was "
                            + Decimals.shortest(commandedPercent, 2) + " %");
        }
    }

    /** A supply that was reset, or that was cut off, heats otherwise than it was told. */
    private void supply(Course course, Readout now) {
        double asked = course.heatOn && plan.heat().orElse(null) instanceof HeatDemand.Power power ? power.watts() : 0;
        double found = now.supplyWatts();
        boolean astray = course.seconds() > course.heatChangedSeconds
                && Math.abs(found - asked) > Math.max(SUPPLY_WATTS, SUPPLY_SHARE * asked);
        if (!astray) {
            supplyAstraySeconds = Double.NaN;
        } else if (Double.isNaN(supplyAstraySeconds)) {
            supplyAstraySeconds = course.seconds();
        } else if (course.seconds() - supplyAstraySeconds > BROKEN_SECONDS) {
            supplyAstraySeconds = Double.NaN;
            if (course.heatOn) {
                resetHappened(
                        course,
                        "the supply reads back " + Decimals.shortest(found, 2) + " W, set was "
                                + Decimals.shortest(asked, 2) + " W");
            } else {
                heatOffAgain(course);
            }
        }
    }

    /** Fans that left the speed of their frozen duty have another duty, whatever can be read back. */
    private void fansAstray(Course course, Readout now, boolean loaded) {
        double rpm = now.fanRpm();
        boolean astray = loaded && Math.abs(rpm - course.frozenRpm) > FAN_SPEED_SHARE * course.frozenRpm;
        if (!astray) {
            fansAstraySeconds = Double.NaN;
        } else if (Double.isNaN(fansAstraySeconds)) {
            fansAstraySeconds = course.seconds();
        } else if (course.seconds() - fansAstraySeconds > BROKEN_SECONDS) {
            fansAstraySeconds = Double.NaN;
            resetHappened(
                    course,
                    "fans at " + Decimals.fixed(rpm, 0) + " rpm, frozen at " + Decimals.fixed(course.frozenRpm, 0)
                            + " rpm");
        }
    }

    /** Heat that goes away without a word: a supply that trips, a workload that hangs. */
    private void heatFlow(Course course, Readout now) {
        double watts = now.powerWatts();
        if (!Double.isNaN(watts)) {
            lastingHeatFlowWatts = Math.min(lastingHeatFlowWatts, watts);
            lastingSinceSeconds = Double.isNaN(lastingSinceSeconds) ? course.seconds() : lastingSinceSeconds;
            if (course.seconds() - lastingSinceSeconds >= HEAT_FLOW_SECONDS) {
                course.mostHeatFlowWatts = Math.max(course.mostHeatFlowWatts, lastingHeatFlowWatts);
                lastingHeatFlowWatts = Double.POSITIVE_INFINITY;
                lastingSinceSeconds = Double.NaN;
            }
        }
        if (!(watts < HEAT_FLOW_SHARE * course.mostHeatFlowWatts)) {
            heatFlowGoneSeconds = Double.NaN;
        } else if (Double.isNaN(heatFlowGoneSeconds)) {
            heatFlowGoneSeconds = course.seconds();
        } else if (course.seconds() - heatFlowGoneSeconds > HEAT_FLOW_SECONDS) {
            course.spoil("heat flow fell from " + Decimals.fixed(course.mostHeatFlowWatts, 0) + " W to "
                    + Decimals.fixed(watts, 0) + " W");
        }
    }

    private void pump(Course course, Readout now) {
        double rpm = now.pumpRpm();
        boolean broken = course.pumpLocked && !Double.isNaN(rpm) && !within(rpm, plan.pumpLock());
        if (!broken) {
            pumpBrokenSeconds = Double.NaN;
        } else if (Double.isNaN(pumpBrokenSeconds)) {
            pumpBrokenSeconds = course.seconds();
        } else if (course.seconds() - pumpBrokenSeconds > BROKEN_SECONDS) {
            course.spoil("pump at " + Decimals.fixed(rpm, 0) + " rpm, locked to "
                    + Decimals.shortest(plan.pumpLock().rpm(), 1) + " rpm within "
                    + Decimals.shortest(plan.pumpLock().withinPercent(), 2) + " %");
            relock = true;
            pumpBrokenSeconds = Double.NaN;
        }
    }

    /** A door or a heater: means of a minute, compared over five. Shorter means let noise make a step of a heating cycle. */
    private void ambientStep(Course course, Readout now) {
        double ambient = now.ambientCelsius();
        if (Double.isNaN(ambientBucketSeconds)) {
            ambientBucketSeconds = course.seconds();
        }
        if (!Double.isNaN(ambient)) {
            ambientBucketSum += ambient;
            ambientBucketReadings++;
        }
        if (course.seconds() - ambientBucketSeconds < AMBIENT_BUCKET_SECONDS || ambientBucketReadings == 0) {
            return;
        }
        double mean = ambientBucketSum / ambientBucketReadings;
        ambientBucketSeconds = course.seconds();
        ambientBucketSum = 0;
        ambientBucketReadings = 0;
        ambientBuckets.addLast(mean);
        if (ambientBuckets.size() > AMBIENT_BUCKETS) {
            ambientBuckets.removeFirst();
        }
        for (double earlier : ambientBuckets) {
            if (Math.abs(mean - earlier) > AMBIENT_STEP_KELVIN) {
                course.spoil("ambient stepped by " + Decimals.fixed(mean - earlier, 2) + " K within 5 min");
                ambientBuckets.clear();
                return;
            }
        }
    }

    /** One limit, and since when it has been passed or unread. */
    private static final class LimitWatch {
        private final Limit limit;
        private final int column;
        private double passedSinceSeconds = Double.NaN;
        private double unreadSinceSeconds = Double.NaN;

        LimitWatch(Limit limit, int column) {
            this.limit = limit;
            this.column = column;
        }

        void check(Course course) {
            if (limit.channel().equals(BenchFile.PUMP) && !course.pumpLocked) {
                passedSinceSeconds = Double.NaN;
                return;
            }
            double value = course.now().value(column);
            double seconds = course.seconds();
            if (Double.isNaN(value)) {
                if (Double.isNaN(unreadSinceSeconds)) {
                    unreadSinceSeconds = seconds;
                } else if (course.heatOn && seconds - unreadSinceSeconds >= LIMIT_MISSING_SECONDS) {
                    course.end(
                            Exit.BENCH_FAULT,
                            "no good reading of " + limit.channel() + " for " + Decimals.fixed(LIMIT_MISSING_SECONDS, 0)
                                    + " s under heat, and it has a limit",
                            false);
                }
                return;
            }
            unreadSinceSeconds = Double.NaN;
            if (!limit.passedBy(value)) {
                passedSinceSeconds = Double.NaN;
            } else if (Double.isNaN(passedSinceSeconds)) {
                passedSinceSeconds = seconds;
            }
            if (!Double.isNaN(passedSinceSeconds) && seconds - passedSinceSeconds >= limit.forSeconds()) {
                course.end(
                        Exit.ENDED_EARLY,
                        "limit: " + limit + "; now "
                                + Decimals.shortest(
                                        value, limit.threshold().unit().recordedDecimals()) + " "
                                + limit.threshold().unit().base().symbol(),
                        limit.pumpOff());
            }
        }
    }

    /** One condition, and since when it has been broken. */
    private static final class ConditionWatch {
        private final Plan.Condition condition;
        private final int column;
        private double brokenSinceSeconds = Double.NaN;
        private double atBegin = Double.NaN;

        ConditionWatch(Plan.Condition condition, int column) {
            this.condition = condition;
            this.column = column;
        }

        void reset() {
            brokenSinceSeconds = Double.NaN;
            atBegin = Double.NaN;
        }

        void check(Course course) {
            double value = course.now().value(column);
            if (Double.isNaN(value)) {
                return;
            }
            if (condition instanceof Plan.Condition.Unchanged) {
                if (Double.isNaN(atBegin)) {
                    atBegin = value;
                } else if (value != atBegin) {
                    course.spoil(condition.channel() + " changed from " + Decimals.shortest(atBegin, 3) + " to "
                            + Decimals.shortest(value, 3));
                }
                return;
            }
            Plan.Condition.Near near = (Plan.Condition.Near) condition;
            boolean broken = Math.abs(value - near.at()) > Math.abs(near.at()) * near.withinPercent() / 100.0;
            if (!broken) {
                brokenSinceSeconds = Double.NaN;
            } else if (Double.isNaN(brokenSinceSeconds)) {
                brokenSinceSeconds = course.seconds();
            } else if (course.seconds() - brokenSinceSeconds > BROKEN_SECONDS) {
                course.spoil("condition broken: " + near.channel() + " at " + Decimals.shortest(value, 3) + ", wanted "
                        + Decimals.shortest(near.at(), 3) + " within " + Decimals.shortest(near.withinPercent(), 2)
                        + " %");
            }
        }
    }

    /** One channel whose readings may not stay identical for long. */
    private static final class FrozenWatch {
        private final String channel;
        private final int column;
        private final double limitSeconds;
        private double last = Double.NaN;
        private double sinceSeconds;

        FrozenWatch(String channel, int column, double limitSeconds) {
            this.channel = channel;
            this.column = column;
            this.limitSeconds = limitSeconds;
        }

        void reset() {
            last = Double.NaN;
        }

        void check(Course course) {
            double value = course.now().value(column);
            if (Double.isNaN(value)) {
                return;
            }
            if (value != last) {
                last = value;
                sinceSeconds = course.seconds();
            } else if (course.seconds() - sinceSeconds >= limitSeconds) {
                course.end(
                        Exit.BENCH_FAULT,
                        channel + " has read the same for " + Decimals.shortest(limitSeconds, 1)
                                + " s: its sensor looks frozen",
                        false);
            }
        }
    }
}
