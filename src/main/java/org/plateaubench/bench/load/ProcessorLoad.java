package org.plateaubench.bench.load;

import java.nio.file.Path;
import java.util.List;
import java.util.function.Supplier;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.units.Decimals;

/**
 * Threads that keep this computer's processors busy, one a logical processor, in a process of their own under a {@link
 * Guardian}. What they are given depends on who else runs: the share that was delivered is printed each second into
 * {@code load-N.log}, and stands in what {@link #off} brings; the whole computer's is the fact "processor-load".
 */
public final class ProcessorLoad implements Load {

    private final GuardedCommand guarded;

    /**
     * A load that is off.
     *
     * @param logs gives the folder for the output, asked when a load starts; made if it is not there
     */
    public ProcessorLoad(Supplier<Path> logs) {
        this.guarded = new GuardedCommand(
                logs, GuardedCommand.LEASE_MILLIS, GuardedCommand.LOG_LIMIT_BYTES, Containment.here());
    }

    @Override
    public SetResult on(HeatDemand demand) {
        if (!(demand instanceof HeatDemand.Processor wanted)) {
            return GuardedCommand.refused(demand.text(), "processor threads keep the processor busy, nothing else");
        }
        if (!(wanted.percent() > 0 && wanted.percent() <= 100)) {
            return GuardedCommand.refused(demand.text(), "the share must be above 0 % and at most 100 %");
        }
        List<String> arguments = List.of(
                Integer.toString(Runtime.getRuntime().availableProcessors()), Decimals.fixed(wanted.percent(), 3));
        return guarded.on(demand.text(), OwnProgram.command(Spinner.class, arguments));
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
