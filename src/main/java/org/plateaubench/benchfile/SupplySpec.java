package org.plateaubench.benchfile;

import java.util.Optional;
import java.util.regex.Pattern;

/**
 * A heat load outside the computer that is set to a power.
 *
 * @param device name of the device that sets it
 * @param set what is sent, with "{watt}" where the number goes
 * @param readback what asks for the present power, if it can be asked
 * @param match what the answer to the readback must match, its first group being the number; empty: the whole answer
 * @param cutoff what takes the heat away when the program falls silent, if anything does
 */
public record SupplySpec(
        String device, String set, Optional<String> readback, Optional<Pattern> match, Optional<Cutoff> cutoff) {

    /**
     * A supply whose readback is a bare number.
     *
     * @param device name of the device that sets it
     * @param set what is sent, with "{watt}" where the number goes
     * @param readback what asks for the present power, if it can be asked
     * @param cutoff what takes the heat away when the program falls silent, if anything does
     */
    public SupplySpec(String device, String set, Optional<String> readback, Optional<Cutoff> cutoff) {
        this(device, set, readback, Optional.empty(), cutoff);
    }

    /**
     * A cut-off by hardware.
     *
     * @param silenceSeconds after how long without a request it acts, s
     * @param by what acts: "supply" or "relay"
     */
    public record Cutoff(double silenceSeconds, String by) {}
}
