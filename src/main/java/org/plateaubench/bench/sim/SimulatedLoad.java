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
    /** What a run of a real command is taken to last when its bench is simulated, s. */
    private static final double COMMAND_SECONDS = 480.0;
    /** Busy threads do not end by themselves. */
    private static final double ENDLESS_SECONDS = 1e9;

    private final World world;
    private final BenchFile file;
    private final DoubleFunction<SetResult> setWatts;
    private boolean supplied;

    /**
     * Loads that are off.
     *
     * @param world what they heat
     * @param file the bench file
     * @param setWatts sets the supply's power in W over its line; never called if the bench has no supply
     */
    SimulatedLoad(World world, BenchFile file, DoubleFunction<SetResult> setWatts) {
        this.world = world;
        this.file = file;
        this.setWatts = setWatts;
    }

    @Override
    public synchronized SetResult on(HeatDemand demand) {
        SetResult before = off();
        if (!before.done()) {
            return refused(demand, "the load before it could not be switched off: " + before.detail());
        }
        if (demand instanceof HeatDemand.Power power) {
            if (file.supply().isEmpty()) {
                return refused(demand, "the bench file declares no supply");
            }
            supplied = true;
            return supply(power.watts(), demand.text());
        }
        if (demand instanceof HeatDemand.Processor processor) {
            world.startWorkload(BUSY_WATTS * processor.percent() / 100.0, ENDLESS_SECONDS);
            return new SetResult("heat", demand.text(), true, "", "");
        }
        Optional<WorkloadSpec> workload = file.workload(((HeatDemand.Workload) demand).workload());
        if (workload.isEmpty()) {
            return refused(demand, "the bench file has no such workload");
        }
        if (workload.get() instanceof WorkloadSpec.Simulated simulated) {
            world.startWorkload(simulated.watts(), simulated.runSeconds());
        } else {
            world.startWorkload(BUSY_WATTS, COMMAND_SECONDS);
        }
        return new SetResult("heat", demand.text(), true, "", "");
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
    public synchronized SetResult off() {
        world.stopWorkload();
        if (!supplied) {
            return new SetResult("heat", "off", true, "", "");
        }
        SetResult result = supply(0.0, "off");
        supplied = !result.done();
        return result;
    }

    @Override
    public List<LoadEvent> events() {
        return world.takeLoadEvents();
    }

    @Override
    public void close() {
        off();
    }
}
