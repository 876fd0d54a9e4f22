package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.equilibrium.LagFilter;
import org.plateaubench.plan.Plan;
import org.plateaubench.sample.TickReadings;
import org.plateaubench.units.Decimals;

/**
 * The state of a night that stages and guard share: what was read, what was set, what was learnt, and what they want
 * done at this tick.
 */
final class Course {

    /** Share of late or missed ticks above which a pass does not count. */
    private static final double MOST_MISSED = 0.01;
    /** Step of the coolant's readings while none was seen, K. Common practice, no source. */
    private static final double USUAL_STEP_KELVIN = 0.01;
    /** Share of the sampling period by which a tick may come after its grid time without being late. */
    private static final double LATE_SHARE = 0.1;

    /** Below this duty a 4-wire fan may stand still by its specification. */
    private static final double MAY_STAND_PERCENT = 30.0;
    /** The search for start and stop duty ends within its own step; so much more is taken. */
    private static final double BEYOND_PERCENT = 1.0;

    final Plan plan;
    final BenchFile bench;
    final SpeedMemory fanSpeeds = new SpeedMemory();
    final SpeedMemory pumpSpeeds = new SpeedMemory();
    /** Speed of each level step that has one, rpm, by the step's text. */
    final Map<String, Double> matchedRpm = new LinkedHashMap<>();

    private final LagFilter ambientFilter;
    private final AmbientHistory ambientHistory = new AmbientHistory();
    private final List<Command> commands = new ArrayList<>();
    private final List<Decision> decisions = new ArrayList<>();

    private Readout now;
    private double filteredAmbientCelsius = Double.NaN;
    private double lastCoolantCelsius = Double.NaN;
    private double coolantStepKelvin = Double.POSITIVE_INFINITY;

    /** The pass under way; null between passes. */
    Pass pass;
    /** Complete runs of the workload in the pass under way. */
    int completedRuns;
    /** True once the pump was locked; false again while it must be locked anew. */
    boolean pumpLocked;

    boolean heatOn;
    double heatChangedSeconds = Double.NEGATIVE_INFINITY;
    /** True while the heat has changed and a coolant thermometer has not felt it yet: nothing has settled by it. */
    boolean heatUnfelt;

    /** Highest heat flow that lasted; of the whole night, since it may be gone before a pass begins, W. */
    double mostHeatFlowWatts;

    double fanDutyPercent = Double.NaN;
    double pumpDutyPercent = Double.NaN;
    private boolean fansSwitchedOff;
    double dutySetSeconds = Double.NEGATIVE_INFINITY;
    OptionalDouble baselineKelvin = OptionalDouble.empty();
    /** Mean speed of the fans when their duty was frozen for the pass, rpm. */
    double frozenRpm = Double.NaN;
    /** The slope rule by which the soak of the pass settled; null if it did not. */
    SlopeWatch settledBy;
    /** Duty that starts every fan; full duty until it is known. */
    double startPercent = 100.0;
    /** Duty up to which a fan may stand still without being broken. */
    double mayStandPercent = MAY_STAND_PERCENT;

    private Command.End end;
    private String spoiling;
    private Distrust distrust;
    private boolean passBegun;
    private long ticksOfPass;
    private long missedOfPass;

    /**
     * Something that was measured and cannot have been.
     *
     * @param sinceSeconds since when, s
     * @param reason why, one line
     */
    record Distrust(double sinceSeconds, String reason) {}

    Course(Plan plan, BenchFile bench) {
        this.plan = plan;
        this.bench = bench;
        this.ambientFilter = new LagFilter(bench.loopTimeConstantSeconds(), bench.probeLagSeconds());
    }

    void take(Readout readout) {
        now = readout;
        double ambient = readout.ambientCelsius();
        if (!Double.isNaN(ambient)) {
            filteredAmbientCelsius = ambientFilter.add(readout.seconds(), ambient);
            ambientHistory.add(readout.sample().tick(), readout.seconds(), ambient);
        }
        double coolant = readout.coolantCelsius();
        if (!Double.isNaN(coolant)) {
            double step = Math.abs(coolant - lastCoolantCelsius);
            if (step > 0.0) {
                coolantStepKelvin = Math.min(coolantStepKelvin, step);
            }
            lastCoolantCelsius = coolant;
        }
        ticksOfPass++;
        missedOfPass += readout.sample().missed() + (late(readout.sample()) ? 1 : 0);
    }

    private boolean late(TickReadings sample) {
        double period = plan.sampleEverySeconds();
        return sample.seconds() - sample.tick() * period > LATE_SHARE * period;
    }

    void beginPass(Pass begun) {
        pass = begun;
        passBegun = true;
        completedRuns = 0;
        settledBy = null;
        ticksOfPass = 0;
        missedOfPass = 0;
    }

    /** True once after a pass was begun. */
    boolean takePassBegun() {
        boolean taken = passBegun;
        passBegun = false;
        return taken;
    }

    /** Asks for the pass to be spoiled if too many of its ticks were late or missed. */
    boolean tooManyTicksMissed() {
        double share = (double) missedOfPass / (ticksOfPass + missedOfPass);
        if (share > MOST_MISSED) {
            spoil("late or missed ticks: " + Decimals.fixed(share * 100, 1) + " %");
        }
        return share > MOST_MISSED;
    }

    Readout now() {
        return now;
    }

    double seconds() {
        return now.seconds();
    }

    long tick() {
        return now.sample().tick();
    }

    /** Smallest step that the coolant's readings made so far, K. */
    double coolantStepKelvin() {
        return Double.isInfinite(coolantStepKelvin) ? USUAL_STEP_KELVIN : coolantStepKelvin;
    }

    AmbientHistory ambientHistory() {
        return ambientHistory;
    }

    /** Rise of the coolant over the filtered ambient, K; NaN unless both were read well at this tick. */
    double riseKelvin() {
        return Double.isNaN(now.ambientCelsius()) ? Double.NaN : now.coolantCelsius() - filteredAmbientCelsius;
    }

    /** True if it is known that the fans cannot be brought to rest. */
    boolean fansNeverStop() {
        return mayStandPercent == 0.0 && bench.actuator(BenchFile.FAN_SWITCH).isEmpty();
    }

    /** Brings the fans to rest: by their switch where the bench has one, else by their duty. */
    void stopFans() {
        if (bench.actuator(BenchFile.FAN_SWITCH).isPresent()) {
            fansSwitchedOff = true;
            commands.add(new Command.SetDuty(BenchFile.FAN_SWITCH, 0.0));
        } else {
            setFans(0.0);
        }
    }

    void setFans(double percent) {
        if (fansSwitchedOff) {
            fansSwitchedOff = false;
            commands.add(new Command.SetDuty(BenchFile.FAN_SWITCH, 100.0));
        }
        fanDutyPercent = percent;
        dutySetSeconds = seconds();
        commands.add(new Command.SetDuty(BenchFile.FAN_DUTY, percent));
    }

    /**
     * The fans are known now.
     *
     * @param start duty that starts all of them, %; empty if none ever stands, or one would not start
     * @param stop duty that keeps all of them turning, %; empty if none ever stops
     */
    void fansCharacterised(OptionalDouble start, OptionalDouble stop) {
        boolean neverStand = stop.isEmpty();
        startPercent = neverStand ? 0.0 : Math.min(100.0, start.orElse(100.0) + BEYOND_PERCENT);
        mayStandPercent = neverStand ? 0.0 : stop.getAsDouble() + BEYOND_PERCENT;
    }

    void setPump(double percent) {
        pumpDutyPercent = percent;
        dutySetSeconds = seconds();
        commands.add(new Command.SetDuty(BenchFile.PUMP_DUTY, percent));
    }

    void heatOn() {
        HeatDemand demand = plan.heat().orElseThrow();
        heatOn = true;
        heatChangedSeconds = seconds();
        commands.add(new Command.HeatOn(demand));
    }

    void heatOff() {
        if (heatOn) {
            heatOn = false;
            heatChangedSeconds = seconds();
            commands.add(new Command.HeatOff());
        }
    }

    void decide(Decision decision) {
        decisions.add(decision);
    }

    /** Asks for the run to end; the first request of a tick stands, a leak's wish to stop the pump is kept. */
    void end(Exit exit, String reason, boolean pumpOff) {
        if (end == null) {
            end = new Command.End(exit, reason, pumpOff);
        } else if (pumpOff && !end.pumpOff()) {
            end = new Command.End(end.exit(), end.reason() + "; " + reason, true);
        }
    }

    /** Asks for the pass under way to be spoiled; the first reason of a tick stands. Nothing happens between passes. */
    void spoil(String reason) {
        if (pass != null && spoiling == null) {
            spoiling = reason;
        }
    }

    /** A thermometer did not measure: the pass under way is spoiled, and so are those that were measured since then. */
    void distrust(double sinceSeconds, String reason) {
        if (distrust == null || sinceSeconds < distrust.sinceSeconds()) {
            distrust = new Distrust(sinceSeconds, reason);
        }
        spoil(reason);
    }

    /** Since when nothing is to be believed, once; null if there is no such thing. */
    Distrust takeDistrust() {
        Distrust taken = distrust;
        distrust = null;
        return taken;
    }

    Command.End endRequested() {
        return end;
    }

    String takeSpoiling() {
        String reason = spoiling;
        spoiling = null;
        return reason;
    }

    List<Command> takeCommands() {
        List<Command> taken = List.copyOf(commands);
        commands.clear();
        return taken;
    }

    List<Decision> takeDecisions() {
        List<Decision> taken = List.copyOf(decisions);
        decisions.clear();
        return taken;
    }

    void command(Command.End command) {
        commands.add(command);
    }
}
