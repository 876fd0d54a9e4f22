package org.plateaubench.engine;

import org.plateaubench.benchfile.HeatDemand;

/** What the engine wants done. */
public sealed interface Command {

    /**
     * Set a duty.
     *
     * @param actuator name of the actuator
     * @param percent duty, 0 to 100 %
     */
    record SetDuty(String actuator, double percent) implements Command {}

    /**
     * Switch the heat on and keep it on.
     *
     * @param demand what to run
     */
    record HeatOn(HeatDemand demand) implements Command {}

    /** Switch the heat off. */
    record HeatOff() implements Command {}

    /**
     * Make the bench safe and end the run. The last command of a run.
     *
     * @param exit how it ends
     * @param reason why, one line
     * @param pumpOff true if the pump must stop
     */
    record End(Exit exit, String reason, boolean pumpOff) implements Command {}
}
