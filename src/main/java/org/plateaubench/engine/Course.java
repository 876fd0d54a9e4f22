package org.plateaubench.engine;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.equilibrium.LagFilter;
import org.plateaubench.plan.Plan;

/**
 * The state of a night that stages and guard share: what was read, what was set, what was learnt, and what they want
 * done at this tick.
 */
final class Course {

    final Plan plan;
    final BenchFile bench;
    final SpeedMemory fanSpeeds = new SpeedMemory();
    final SpeedMemory pumpSpeeds = new SpeedMemory();

    private final LagFilter ambientFilter;
    private final List<Command> commands = new ArrayList<>();
    private final List<Decision> decisions = new ArrayList<>();

    private Readout now;
    private double filteredAmbientCelsius = Double.NaN;

    /** The pass under way; null between passes. */
    Pass pass;
    /** Complete runs of the workload in this pass. */
    int completedRuns;
    /** True once the pump was locked; false again while it must be locked anew. */
    boolean pumpLocked;

    boolean heatOn;
    double heatChangedSeconds = Double.NEGATIVE_INFINITY;
    double fanDutyPercent = Double.NaN;
    double pumpDutyPercent = Double.NaN;
    double dutySetSeconds = Double.NEGATIVE_INFINITY;
    OptionalDouble baselineKelvin = OptionalDouble.empty();

    private Command.End end;
    private String spoiling;

    Course(Plan plan, BenchFile bench) {
        this.plan = plan;
        this.bench = bench;
        this.ambientFilter = new LagFilter(bench.loopTimeConstantSeconds());
    }

    OptionalDouble slowTimeConstantSeconds() {
        return bench.commissioning().isPresent()
                ? OptionalDouble.of(bench.commissioning().get().slowTimeConstantSeconds())
                : OptionalDouble.empty();
    }

    void take(Readout readout) {
        now = readout;
        double ambient = readout.ambientCelsius();
        if (!Double.isNaN(ambient)) {
            filteredAmbientCelsius = ambientFilter.add(readout.seconds(), ambient);
        }
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

    /** Ambient filtered by the loop's time constant, °C; NaN before the first good reading. */
    double filteredAmbientCelsius() {
        return filteredAmbientCelsius;
    }

    /** Rise of the coolant over the filtered ambient, K; NaN unless both were read well at this tick. */
    double riseKelvin() {
        return Double.isNaN(now.ambientCelsius()) ? Double.NaN : now.coolantCelsius() - filteredAmbientCelsius;
    }

    void setFans(double percent) {
        fanDutyPercent = percent;
        dutySetSeconds = seconds();
        commands.add(new Command.SetDuty(BenchFile.FAN_DUTY, percent));
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
