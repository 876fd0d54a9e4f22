package org.plateaubench.bench.sim;

import java.util.List;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.benchfile.SimulationSpec.Setting;

/** Every number of the simulator for one fan set: what the bench file sets, and the defaults of the rest. */
final class Settings {

    private final double[] values = new double[SimulationKey.values().length];

    /**
     * The numbers for one fan set.
     *
     * @param spec the bench file's part
     * @param fanSet the fan set that is mounted; one of the bench file's, or any if it names none
     * @throws IllegalArgumentException if the bench file names sets, but not this one
     */
    Settings(SimulationSpec spec, String fanSet) {
        for (SimulationKey key : SimulationKey.values()) {
            values[key.ordinal()] = key.normal() * key.unit().toBase();
        }
        set(spec.settings());
        if (spec.sets().isEmpty()) {
            return;
        }
        set(spec.set(fanSet)
                .orElseThrow(() -> new IllegalArgumentException("the bench file simulates no fan set " + fanSet
                        + ", only "
                        + String.join(
                                ", ", spec.sets().stream().map(s -> s.set()).toList())))
                .settings());
    }

    private void set(List<Setting> settings) {
        for (Setting setting : settings) {
            values[setting.key().ordinal()] =
                    setting.value() * setting.key().unit().toBase();
        }
    }

    /**
     * {@return the value in the base unit of its dimension}
     *
     * @param key which
     */
    double get(SimulationKey key) {
        return values[key.ordinal()];
    }

    /**
     * {@return a percentage as a fraction}
     *
     * @param key a key in per cent
     */
    double fraction(SimulationKey key) {
        return values[key.ordinal()] / 100.0;
    }
}
