package org.plateaubench.acoustics;

/**
 * A speed at which the fans are louder or quieter than the line through the other speeds allows.
 *
 * @param rpm the speed, rpm
 * @param aboveLineDb own level there over the line's, dB; negative where it is quieter
 */
public record Resonance(double rpm, double aboveLineDb) {}
