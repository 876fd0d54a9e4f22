package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.VirtualClock;

/** A bench that notes the truth at every tick, and tells when a tick is about to be read. */
final class Eyes implements Bench {

    /** A night that does not end. */
    static final class Endless extends Error {
        private static final long serialVersionUID = 1L;

        Endless(double seconds) {
            super("the night has not ended after " + Dice.text(seconds) + " s");
        }
    }

    private final SimulatedBench bench;
    private final VirtualClock clock;
    private final double mostSeconds;
    private final int fans;
    private final List<TruthRow> rows = new ArrayList<>();
    private boolean deaf;
    private boolean set;
    private Consumer<Long> beforeTick = millis -> {};
    private Consumer<Long> beforeCommand = millis -> {};

    Eyes(SimulatedBench bench, VirtualClock clock, double mostSeconds) {
        this.bench = bench;
        this.clock = clock;
        this.mostSeconds = mostSeconds;
        this.fans = bench.file().group(BenchFile.FANS).size();
    }

    void beforeTick(Consumer<Long> told) {
        beforeTick = told;
    }

    /** The program is dead: nothing that it says reaches the bench any more. */
    void deafen() {
        deaf = true;
    }

    /** {@return true if nothing was ever set on the bench} */
    boolean untouched() {
        return !set;
    }

    private static SetResult unheard(String target) {
        return new SetResult(target, "", false, "", "the program is dead");
    }

    void beforeCommand(Consumer<Long> told) {
        beforeCommand = told;
    }

    List<TruthRow> rows() {
        return rows;
    }

    private long millis() {
        return clock.nanos() / 1_000_000;
    }

    private void look(long tick) {
        rows.add(TruthRow.of(tick, millis(), bench.truth(), fans));
    }

    /** Lets time pass after the night's end, and looks. */
    void watchOn(int seconds) {
        for (int i = 0; i < seconds; i++) {
            clock.spend(1_000_000_000L);
            bench.letTimePass();
            look(-1);
        }
    }

    @Override
    public BenchFile file() {
        return bench.file();
    }

    @Override
    public List<DeviceIdentity> open() throws BenchException {
        return bench.open();
    }

    @Override
    public Sweep read(long tick) {
        beforeTick.accept(millis());
        if (millis() > mostSeconds * 1000) {
            throw new Endless(mostSeconds);
        }
        Sweep sweep = bench.read(tick);
        look(tick);
        return sweep;
    }

    @Override
    public SetResult set(String actuator, double percent) {
        beforeCommand.accept(millis());
        set = true;
        return deaf ? unheard(actuator) : bench.set(actuator, percent);
    }

    @Override
    public SetResult heatOn(HeatDemand demand) {
        beforeCommand.accept(millis());
        set = true;
        return deaf ? unheard("heat") : bench.heatOn(demand);
    }

    @Override
    public SetResult heatOff() {
        return deaf ? unheard("heat") : bench.heatOff();
    }

    @Override
    public String heard(String device) {
        return bench.heard(device);
    }

    @Override
    public List<LoadEvent> loadEvents() {
        return bench.loadEvents();
    }

    @Override
    public List<SetResult> makeSafe(boolean pumpOff) {
        return deaf ? List.of() : bench.makeSafe(pumpOff);
    }

    @Override
    public void close() {
        bench.close();
    }
}
