package org.plateaubench.bench.load;

import java.util.List;
import java.util.function.DoubleFunction;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.units.Decimals;

/**
 * Heat from a supply outside the computer, set to a power through a device of the bench. It has no guardian: what takes
 * the heat away when this program dies is the supply's own cut-off, which the bench file declares.
 */
public final class SupplyLoad implements Load {

    private final DoubleFunction<SetResult> setWatts;

    /**
     * A supply.
     *
     * @param setWatts sets a power in W and reads it back, bounded in time; called by any thread, but by one at a time
     */
    public SupplyLoad(DoubleFunction<SetResult> setWatts) {
        this.setWatts = setWatts;
    }

    @Override
    public SetResult on(HeatDemand demand) {
        if (!(demand instanceof HeatDemand.Power wanted)) {
            return GuardedCommand.refused(demand.text(), "a supply can be set to a power only");
        }
        if (!(wanted.watts() > 0 && Double.isFinite(wanted.watts()))) {
            return GuardedCommand.refused(demand.text(), "the power must be above 0 W");
        }
        return set(wanted.watts(), demand.text());
    }

    /** Does nothing: each reading of the device tells the supply that this program lives. */
    @Override
    public void renew() {}

    /** Sets 0 W, also where this program has not set any power. */
    @Override
    public SetResult off() {
        return set(0, "off");
    }

    private synchronized SetResult set(double watts, String asked) {
        SetResult result = setWatts.apply(watts);
        String detail = result.done() || !result.detail().isEmpty()
                ? result.detail()
                : "the supply did not take " + Decimals.shortest(watts, 2) + " W";
        return new SetResult("heat", asked, result.done(), result.readback(), detail);
    }

    /** {@return nothing: a supply has no runs} */
    @Override
    public List<LoadEvent> events() {
        return List.of();
    }

    /** Sets 0 W. */
    @Override
    public void close() {
        off();
    }
}
