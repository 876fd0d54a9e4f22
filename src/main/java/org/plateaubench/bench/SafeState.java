package org.plateaubench.bench;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import java.util.function.Supplier;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;

/**
 * The one procedure that makes a bench safe: load off first, then the fans, the pump and whatever else can be set to their
 * safe duty, read back. It can be repeated; what was once asked for is never taken back. Any thread may call it.
 */
final class SafeState {

    private final List<ActuatorSpec> actuators;
    private final Supplier<SetResult> loadOff;
    private final Function<ActuatorSpec, SetResult> actuate;
    private volatile boolean entered;
    private volatile boolean pumpOff;

    /**
     * The procedure of one bench.
     *
     * @param file the bench
     * @param loadOff switches the load off; bounded in time, throws nothing
     * @param actuate sets an actuator to its {@link #percent} of that moment and reads it back; bounded in time, throws
     *     nothing
     */
    SafeState(BenchFile file, Supplier<SetResult> loadOff, Function<ActuatorSpec, SetResult> actuate) {
        List<ActuatorSpec> ordered = new ArrayList<>();
        file.actuator(BenchFile.FAN_DUTY).ifPresent(ordered::add);
        file.actuator(BenchFile.PUMP_DUTY).ifPresent(ordered::add);
        file.actuators().stream().filter(a -> !ordered.contains(a)).forEach(ordered::add);
        this.actuators = ordered;
        this.loadOff = loadOff;
        this.actuate = actuate;
    }

    /**
     * Makes the bench safe.
     *
     * @param stopPump true if the pump must stop, as with a leak
     * @return what was done, in order
     */
    List<SetResult> make(boolean stopPump) {
        if (stopPump) {
            pumpOff = true;
        }
        entered = true;
        List<SetResult> results = new ArrayList<>();
        results.add(loadOff.get());
        actuators.forEach(actuator -> results.add(actuate.apply(actuator)));
        return results;
    }

    /** {@return true once the bench was asked to be safe} */
    boolean entered() {
        return entered;
    }

    /**
     * Tells whether an actuator may be set.
     *
     * @param actuator the actuator
     * @param percent the duty, per cent
     * @return true before the bench was made safe; afterwards only for the safe duty
     */
    boolean allows(ActuatorSpec actuator, double percent) {
        return !entered || percent == percent(actuator);
    }

    /**
     * The duty that is safe as things stand.
     *
     * @param actuator the actuator
     * @return its safe duty, per cent; 0 for a pump that was asked to stop
     */
    double percent(ActuatorSpec actuator) {
        return pumpOff && actuator.name().equals(BenchFile.PUMP_DUTY) ? 0.0 : actuator.safePercent();
    }
}
