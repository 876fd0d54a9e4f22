package org.plateaubench.benchfile;

import java.time.OffsetDateTime;
import java.util.List;
import java.util.Optional;

/**
 * Parameters of a simulated bench.
 *
 * @param start date and time at which a simulated night starts, with its offset from UTC
 * @param seed the seed unless one is given
 * @param settings named numbers that differ from the simulator's defaults, in file order
 * @param sets parameters of the invented fan sets, in file order
 */
public record SimulationSpec(OffsetDateTime start, long seed, List<Setting> settings, List<FanSetTruth> sets) {

    /** Copies the lists. */
    public SimulationSpec {
        settings = List.copyOf(settings);
        sets = List.copyOf(sets);
    }

    /**
     * One named number of the simulator.
     *
     * @param key what it sets
     * @param value in the key's unit
     */
    public record Setting(SimulationKey key, double value) {}

    /**
     * Parameters of one fan set.
     *
     * @param set name of the set, as in a fans file
     * @param settings named numbers of the set, in file order
     */
    public record FanSetTruth(String set, List<Setting> settings) {
        /** Copies the list. */
        public FanSetTruth {
            settings = List.copyOf(settings);
        }
    }

    /**
     * Finds a fan set.
     *
     * @param set its name
     * @return its parameters, or empty
     */
    public Optional<FanSetTruth> set(String set) {
        return sets.stream().filter(s -> s.set().equals(set)).findFirst();
    }
}
