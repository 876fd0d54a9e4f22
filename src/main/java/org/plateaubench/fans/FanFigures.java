package org.plateaubench.fans;

import java.util.Optional;
import java.util.OptionalDouble;

/**
 * The figures of one fan.
 *
 * @param fan name of its channel
 * @param sweep what it did in the sweeps
 * @param start start duties from rest; empty if none was found
 * @param stop lowest duties at which it kept turning; empty if none was found
 * @param minimumRpm lowest speed at which it was seen turning, rpm; NaN if it never did
 * @param spinUpSeconds time constant of gaining speed, s; empty if it could not be found
 * @param coastDownSeconds time constant of losing speed, s; empty if it could not be found
 * @param coasting what its tachometer did while it coasted, if that was implausible
 */
public record FanFigures(
        String fan,
        DutySweep sweep,
        Optional<DutyTrials> start,
        Optional<DutyTrials> stop,
        double minimumRpm,
        OptionalDouble spinUpSeconds,
        OptionalDouble coastDownSeconds,
        Optional<TachometerFault> coasting) {

    /** A 4-wire fan must run as slow as this share of its highest speed (Intel, revision 1.3, section 3.2). */
    private static final double SLOWEST_SHARE = 0.3;

    /** {@return true if it turned when it was asked to, so that its figures mean something} */
    public boolean characterised() {
        return sweep.answered();
    }

    /** {@return true if it turned at every duty that was tried} */
    public boolean neverStopped() {
        return characterised() && sweep.stoppedAt().isEmpty();
    }

    /** {@return true if it stops while it still turns fast, as electronics with a threshold make it} */
    public boolean stopsBelowThreshold() {
        return stop.isPresent() && minimumRpm > SLOWEST_SHARE * sweep.topRpm();
    }
}
