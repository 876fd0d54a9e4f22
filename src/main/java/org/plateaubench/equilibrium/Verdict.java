package org.plateaubench.equilibrium;

/**
 * What the slope rule says after its latest reading. Numbers are NaN only while there is too little data for them,
 * never because readings are alike.
 *
 * @param settled the limits have held for the stated time, up to now
 * @param windowFull the trailing window is covered well enough by readings to be judged
 * @param slopeKelvinPerHour least-squares slope over the trailing window, K/h
 * @param marginKelvinPerHour one-sided 95 % margin of the slope, Student t times its standard error, K/h
 * @param remainingRiseKelvin bound on the rise that is still to come, K, 0 or more; NaN also without a slow time
 *     constant
 * @param heldSeconds for how long the limits have held without a break, s; 0 if they do not hold
 * @param standardErrorKelvinPerHour standard error of the slope, from the long-run variance, K/h
 * @param degreesOfFreedom of the standard error; 0 if there is none yet
 */
public record Verdict(
        boolean settled,
        boolean windowFull,
        double slopeKelvinPerHour,
        double marginKelvinPerHour,
        double remainingRiseKelvin,
        double heldSeconds,
        double standardErrorKelvinPerHour,
        int degreesOfFreedom) {}
