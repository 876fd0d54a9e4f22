package org.plateaubench.benchfile;

import java.util.Optional;
import java.util.OptionalInt;
import java.util.regex.Pattern;

/**
 * Something that is set: a duty cycle in per cent.
 *
 * @param name its name
 * @param device name of the device that sets it
 * @param set what is sent, with "{percent}" where the number goes
 * @param readback what asks for the present setting, if it can be asked
 * @param match what the answer to the readback must match, its first group being the number; empty: the whole answer
 * @param fullScale the number that the device takes and gives for 100 %, such as 255, if that is not 100; it is whole
 * @param safePercent the duty that makes the bench safe, per cent
 */
public record ActuatorSpec(
        String name,
        String device,
        String set,
        Optional<String> readback,
        Optional<Pattern> match,
        OptionalInt fullScale,
        double safePercent) {

    /**
     * An actuator that is set and read back in plain per cent.
     *
     * @param name its name
     * @param device name of the device that sets it
     * @param set what is sent, with "{percent}" where the number goes
     * @param readback what asks for the present setting, if it can be asked
     * @param safePercent the duty that makes the bench safe, per cent
     */
    public ActuatorSpec(String name, String device, String set, Optional<String> readback, double safePercent) {
        this(name, device, set, readback, Optional.empty(), OptionalInt.empty(), safePercent);
    }
}
