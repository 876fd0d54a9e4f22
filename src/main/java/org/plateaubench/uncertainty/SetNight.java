package org.plateaubench.uncertainty;

import java.util.List;
import java.util.Optional;

/**
 * What one night found of one fan set.
 *
 * @param set name of the fan set
 * @param night what tells this night from others, such as the name of its record
 * @param steps its steps, in plan order
 */
public record SetNight(String set, String night, List<StepPasses> steps) {

    /** Copies the list. */
    public SetNight {
        steps = List.copyOf(steps);
    }

    Optional<StepPasses> step(String step) {
        return steps.stream().filter(s -> s.step().equals(step)).findFirst();
    }
}
