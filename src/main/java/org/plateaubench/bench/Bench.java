package org.plateaubench.bench;

import java.util.List;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;

/**
 * A bench that can be read and set. One thread, the run's, calls it; {@link #makeSafe()} may be called by any thread at
 * any time, also while another call is under way.
 */
public interface Bench extends AutoCloseable {

    /** {@return what the bench is} */
    BenchFile file();

    /**
     * Opens every device and asks its identity.
     *
     * @return the devices as they answered, in file order
     * @throws BenchException if a device cannot be opened or is another one, all of them in one go; what was opened is
     *     closed again, and nothing was set
     */
    List<DeviceIdentity> open() throws BenchException;

    /**
     * Reads every column of {@link BenchFile#columns()} once, devices in parallel, each bounded by its timeout. A device
     * that is gone is looked for again meanwhile, by identity; its readings say so. Never throws for what a device does.
     *
     * @param tick number of the tick, which keys simulated noise
     * @return the readings, in the order of the columns, with what happened to devices
     */
    Sweep read(long tick);

    /**
     * Sets an actuator and reads it back. After {@link #makeSafe()} any duty but the safe one is refused.
     *
     * @param actuator name of an actuator of the bench file
     * @param percent duty, 0 to 100 %
     * @return what came of it; never throws for what a device does
     */
    SetResult set(String actuator, double percent);

    /**
     * Switches the heat on and keeps it on until told otherwise: a workload that ends is started again. Heat holds a
     * lease that each {@link #read} renews. Refused after {@link #makeSafe()}.
     *
     * @param demand what to run
     * @return what came of it
     */
    SetResult heatOn(HeatDemand demand);

    /**
     * Switches the heat off and makes sure that nothing of it is left.
     *
     * @return what came of it
     */
    SetResult heatOff();

    /**
     * What the line of a device brings, for messages to a person who tries it for the first time. It may be asked for
     * that.
     *
     * @param device its name
     * @return answers in quotes, in words; empty if there is no line, or nothing came
     */
    String heard(String device);

    /** {@return what heat loads did since the last call, in order} */
    List<LoadEvent> loadEvents();

    /**
     * Makes the bench safe: load off first, then fans and pump to their safe duty, read back. Idempotent; each action is
     * bounded in time and tried whatever the others did. Afterwards the bench refuses anything that is not safe.
     *
     * @param pumpOff true if the pump must stop, as with a leak
     * @return what was done, in order
     */
    List<SetResult> makeSafe(boolean pumpOff);

    /** Closes every device, bounded in time. Does not make the bench safe by itself. */
    @Override
    void close();
}
