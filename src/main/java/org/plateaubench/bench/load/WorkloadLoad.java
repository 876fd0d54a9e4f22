package org.plateaubench.bench.load;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.function.Supplier;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.WorkloadSpec;

/**
 * A command of the bench file, run in succession on this computer under a {@link Guardian}. A run that ends with status 0
 * is counted and the command started again, at most five times a second; a run that ends otherwise is reported, and
 * nothing is started until {@link #on} is called again.
 *
 * <p>Each time that heat is switched on, output goes to the next free file of {@code load-1.log}, {@code load-2.log} and
 * so on, the runs one behind the other; the first mebibyte of each file is kept, and the cut is marked in it.
 */
public final class WorkloadLoad implements Load {

    private final BenchFile file;
    private final GuardedCommand guarded;

    /**
     * A load that is off.
     *
     * @param file the bench, with its workloads
     * @param logs gives the folder for the output, asked when a load starts; made if it is not there
     */
    public WorkloadLoad(BenchFile file, Supplier<Path> logs) {
        this(
                file,
                new GuardedCommand(
                        logs, GuardedCommand.LEASE_MILLIS, GuardedCommand.LOG_LIMIT_BYTES, Containment.here()));
    }

    WorkloadLoad(BenchFile file, GuardedCommand guarded) {
        this.file = file;
        this.guarded = guarded;
    }

    @Override
    public SetResult on(HeatDemand demand) {
        if (!(demand instanceof HeatDemand.Workload wanted)) {
            return GuardedCommand.refused(demand.text(), "a workload runs commands of the bench file only");
        }
        Optional<WorkloadSpec> workload = file.workload(wanted.workload());
        if (workload.isEmpty()) {
            List<String> names =
                    file.workloads().stream().map(WorkloadSpec::name).toList();
            return GuardedCommand.refused(
                    demand.text(), "the bench file has no workload '" + wanted.workload() + "'; it has " + names);
        }
        if (!(workload.get() instanceof WorkloadSpec.Command command)) {
            return GuardedCommand.refused(demand.text(), "it is a simulated workload, and this computer is real");
        }
        return guarded.on(demand.text(), command.command());
    }

    @Override
    public void renew() {
        guarded.renew();
    }

    @Override
    public SetResult off() {
        return guarded.off();
    }

    @Override
    public List<LoadEvent> events() {
        return guarded.events();
    }

    @Override
    public void close() {
        guarded.off();
    }
}
