package org.plateaubench.bench;

import java.util.List;
import org.plateaubench.bench.Sweep.DeviceEvent;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.sample.Reading;

/** One device of a bench. One thread at a time calls it; {@link #close()} may be called by any. */
public interface Device extends AutoCloseable {

    /** {@return its name in the bench file} */
    String name();

    /**
     * Opens it and asks its identity.
     *
     * @return what it answered
     * @throws BenchException if it cannot be opened or is another device; it is closed again
     */
    DeviceIdentity open() throws BenchException;

    /**
     * Reads the columns of this device once, within its timeout. If it is gone, tries once to find it again.
     *
     * @param tick number of the tick
     * @return the readings; never throws for what the device does
     */
    DeviceReadings read(long tick);

    /**
     * Sets an actuator and reads it back, bounded by its timeout.
     *
     * @param actuator one of this device's actuators
     * @param percent duty, 0 to 100 %
     * @return what came of it; never throws for what the device does
     */
    SetResult set(ActuatorSpec actuator, double percent);

    /** {@return what its line brings, in words, for messages; it may ask for that; empty if it has none, or nothing came} */
    default String heard() {
        return "";
    }

    @Override
    void close();

    /**
     * What reading one device brought.
     *
     * @param readings one for each of its columns, in the order of the bench file
     * @param events what happened to the device since the last reading
     * @param busyNanos how long it took, in the bench's own (real or simulated) time
     */
    record DeviceReadings(List<Reading> readings, List<DeviceEvent> events, long busyNanos) {
        /** Copies the lists. */
        public DeviceReadings {
            readings = List.copyOf(readings);
            events = List.copyOf(events);
        }
    }
}
