package org.plateaubench.equilibrium;

/**
 * Sums about their own means of a run of readings, from which a straight line follows. Two neighbouring runs add up
 * without any subtraction of large numbers (pairwise update of Chan, Golub and LeVeque, 1979).
 *
 * @param count how many readings, 1 or more
 * @param firstSeconds time of the first, s
 * @param meanSeconds mean time, s
 * @param meanKelvin mean value, K
 * @param tt sum of squared time deviations, s²
 * @param ty sum of products of time and value deviations, s·K
 * @param yy sum of squared value deviations, K²
 * @param coveredSeconds how much time the readings stand for, s
 */
record Moments(
        double count,
        double firstSeconds,
        double meanSeconds,
        double meanKelvin,
        double tt,
        double ty,
        double yy,
        double coveredSeconds) {

    /** One reading. */
    static Moments of(double seconds, double kelvin, double coveredSeconds) {
        return new Moments(1.0, seconds, seconds, kelvin, 0.0, 0.0, 0.0, coveredSeconds);
    }

    /** This run followed by a later one. */
    Moments then(Moments later) {
        double n = count + later.count;
        double share = later.count / n;
        double dt = later.meanSeconds - meanSeconds;
        double dy = later.meanKelvin - meanKelvin;
        double weight = count * share;
        return new Moments(
                n,
                firstSeconds,
                meanSeconds + share * dt,
                meanKelvin + share * dy,
                tt + later.tt + weight * dt * dt,
                ty + later.ty + weight * dt * dy,
                yy + later.yy + weight * dy * dy,
                coveredSeconds + later.coveredSeconds);
    }

    /** Slope of the least-squares line, K/s; NaN for a single reading. */
    double slope() {
        return ty / tt;
    }
}
