package org.plateaubench.engine;

import org.plateaubench.plan.Measurement;

/**
 * How long stages take: what this night has shown so far, and before that an estimate from the bench's time constants.
 * Used for "time left" and to decide whether a block still fits before finish-by.
 */
final class Expectations {

    /** So many fast time constants bring a rise of about 10 K to a slope of 1 K/h. */
    private static final double TIME_CONSTANTS_TO_SETTLE = 5.0;

    private final double fastTimeConstantSeconds;
    private double soakSum;
    private int soaks;
    private double cooldownSum;
    private int cooldowns;

    Expectations(double fastTimeConstantSeconds) {
        this.fastTimeConstantSeconds = fastTimeConstantSeconds;
    }

    void sawSoak(double seconds) {
        soakSum += seconds;
        soaks++;
    }

    void sawCooldown(double seconds) {
        cooldownSum += seconds;
        cooldowns++;
    }

    double soakSeconds(Measurement.Soak soak) {
        return soaks > 0 ? soakSum / soaks : estimate(soak.until(), soak.atLeastSeconds(), soak.atMostSeconds());
    }

    /** A cooldown from heat, or a baseline; the baseline at the start of a night begins near equilibrium. */
    double idleSeconds(Measurement.Cooldown cooldown, boolean baseline) {
        if (baseline) {
            return Math.max(
                            cooldown.atLeastSeconds(),
                            cooldown.until().windowSeconds() + cooldown.until().forSeconds())
                    + 120.0;
        }
        return cooldowns > 0
                ? cooldownSum / cooldowns
                : estimate(cooldown.until(), cooldown.atLeastSeconds(), cooldown.atMostSeconds());
    }

    private double estimate(Measurement.Settle settle, double atLeastSeconds, double atMostSeconds) {
        double settling =
                TIME_CONSTANTS_TO_SETTLE * fastTimeConstantSeconds + settle.windowSeconds() / 2 + settle.forSeconds();
        return Math.max(atLeastSeconds, Math.min(atMostSeconds, settling));
    }
}
