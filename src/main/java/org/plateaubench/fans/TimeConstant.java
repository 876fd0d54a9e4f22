package org.plateaubench.fans;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;

/** The time constant of a fan that gains or loses speed, from readings a second or so apart. */
public final class TimeConstant {

    /** Readings count while this share of the change is still to come: before, the fan may not have begun to move. */
    private static final double MOST_SHARE = 0.9;
    /** After, reading noise and friction take over. */
    private static final double LEAST_SHARE = 0.05;

    private TimeConstant() {}

    /**
     * Fits {@code final + (first - final) exp(-(t - t0)/tau)}, t0 free, by weighted least squares on the logarithm of
     * what is still to come; weights are its squares, so that all readings count alike in speed.
     *
     * @param seconds times of the readings, s, rising
     * @param rpm readings, rpm, the first of them before the duty was changed; NaN where there is none
     * @param finalRpm settled speed afterwards, rpm
     * @return the time constant, s; empty if fewer than two readings fall into the change, as when it is over within a
     *     reading or two
     */
    public static OptionalDouble seconds(double[] seconds, double[] rpm, double finalRpm) {
        double change = rpm[0] - finalRpm;
        List<double[]> used = new ArrayList<>();
        for (int i = 1; i < rpm.length; i++) {
            double share = (rpm[i] - finalRpm) / change;
            if (share <= MOST_SHARE && share >= LEAST_SHARE) {
                used.add(new double[] {share * share, seconds[i], StrictMath.log(share)});
            }
        }
        double w = used.stream().mapToDouble(u -> u[0]).sum();
        double x = used.stream().mapToDouble(u -> u[0] * u[1]).sum() / w;
        double y = used.stream().mapToDouble(u -> u[0] * u[2]).sum() / w;
        double xx =
                used.stream().mapToDouble(u -> u[0] * (u[1] - x) * (u[1] - x)).sum();
        double xy =
                used.stream().mapToDouble(u -> u[0] * (u[1] - x) * (u[2] - y)).sum();
        return used.size() >= 2 && xy < 0.0 ? OptionalDouble.of(-xx / xy) : OptionalDouble.empty();
    }
}
