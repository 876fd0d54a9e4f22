package org.plateaubench.bench.sim;

import java.util.List;
import java.util.Optional;
import java.util.function.DoubleFunction;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.WorkloadSpec;

/**
 * The heat of a simulated bench: workloads and busy processors of its computer in virtual time, and its supply. It needs
 * no lease, since it ends with this program.
 */
final class SimulatedLoad implements Load {

    /** Heat flow of a simulated processor that is fully busy, W. */
    private static final double BUSY_WATTS = 200.0;
    /** Busy threads do not end by themselves. */
    private static final double ENDLESS_SECONDS = 1e9;

    private final World world;
    private final BenchFile file;
    private final DoubleFunction<SetResult> setWatts;

    /**
     * Loads that are off.
     *
     * @param world what they heat
     * @param file the bench file
     * @param setWatts sets the supply's power over its line; never called if the bench has no supply
     */
    SimulatedLoad(World world, BenchFile file, DoubleFunction<SetResult> setWatts) {
        this.world = world;
        this.file = file;
        this.setWatts = setWatts;
    }

    @Override
    public SetResult on(HeatDemand demand) {
        if (demand instanceof HeatDemand.Power power) {
            return file.supply().isPresent()
                    ? supply(power.watts(), demand.text())
                    : refused(demand, "the bench file declares no supply");
        }
        if (demand instanceof HeatDemand.Processor processor) {
            world.startWorkload(BUSY_WATTS * processor.percent() / 100.0, ENDLESS_SECONDS);
            return new SetResult("heat", demand.text(), true, "", "");
        }
        Optional<WorkloadSpec> workload = file.workload(((HeatDemand.Workload) demand).workload());
        if (workload.isPresent() && workload.get() instanceof WorkloadSpec.Simulated simulated) {
            world.startWorkload(simulated.watts(), simulated.runSeconds());
            return new SetResult("heat", demand.text(), true, "", "");
        }
        return refused(demand, "the bench file simulates no such workload");
    }

    private static SetResult refused(HeatDemand demand, String why) {
        return new SetResult("heat", demand.text(), false, "", why);
    }

    private SetResult supply(double watts, String asked) {
        SetResult result = setWatts.apply(watts);
        return new SetResult("heat", asked, result.done(), result.readback(), result.detail());
    }

    /** Does nothing: there is no lease. */
    @Override
    public void renew() {}

    @Override
    public SetResult off() {
        world.stopWorkload();
        return file.supply().isPresent() ? supply(0.0, "off") : new SetResult("heat", "off", true, "", "");
    }

    @Override
    public List<LoadEvent> events() {
        return world.takeLoadEvents();
    }

    @Override
    public void close() {
        world.stopWorkload();
    }
}
