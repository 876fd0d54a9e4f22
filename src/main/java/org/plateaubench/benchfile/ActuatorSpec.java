package org.plateaubench.benchfile;

import java.util.Optional;

/**
 * Something that is set: a duty cycle in per cent.
 *
 * @param name its name
 * @param device name of the device that sets it
 * @param set what is sent, with "{percent}" where the number goes
 * @param readback what asks for the present setting, if it can be asked
 * @param safePercent the duty that makes the bench safe, per cent
 */
public record ActuatorSpec(String name, String device, String set, Optional<String> readback, double safePercent) {}
