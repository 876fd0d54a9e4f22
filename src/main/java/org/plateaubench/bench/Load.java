package org.plateaubench.bench;

import java.util.List;
import org.plateaubench.benchfile.HeatDemand;

/**
 * The heat of a bench. It holds a lease: without a call of {@link #renew()} for 5 s of real time a local load dies by
 * itself, also if this program was killed. {@link #off()} may be called by any thread at any time.
 */
public interface Load extends AutoCloseable {

    /**
     * Switches the heat on. A workload that ends with status 0 is started again until {@link #off()}.
     *
     * @param demand what to run
     * @return what came of it
     */
    SetResult on(HeatDemand demand);

    /** Renews the lease. */
    void renew();

    /**
     * Switches the heat off and makes sure that nothing of it is left; bounded in time; idempotent.
     *
     * @return what came of it
     */
    SetResult off();

    /** {@return what the load did since the last call, in order} */
    List<LoadEvent> events();

    @Override
    void close();
}
