package org.plateaubench.plan;

import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;

/**
 * Which fan set is mounted, and how.
 *
 * @param set name of the set
 * @param specimens names of the specimens, in file order
 * @param description free text, if given
 * @param setting a switch setting of the fans, if given
 * @param mount how the set is mounted
 * @param runInHours how long it has run before, h, if given
 * @param ratedRpm nameplate speed at full duty, rpm, if given
 * @param sharedTachometerOf for how many fans one tachometer is seen, if the others are unseen
 */
public record FansFile(
        String set,
        List<String> specimens,
        Optional<String> description,
        Optional<String> setting,
        Mount mount,
        OptionalDouble runInHours,
        OptionalDouble ratedRpm,
        OptionalInt sharedTachometerOf) {

    /** Copies the list. */
    public FansFile {
        specimens = List.copyOf(specimens);
    }

    /**
     * One mounting of the set: a remount begins a new one.
     *
     * @param number counts the mounts of the set, from 1
     * @param side "push", "pull" or "push-pull", if given
     * @param screws free text, if given
     */
    public record Mount(int number, Optional<String> side, Optional<String> screws) {}
}
