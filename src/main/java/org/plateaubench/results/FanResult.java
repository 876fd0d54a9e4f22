package org.plateaubench.results;

/**
 * Figures of one fan, as they were characterised. A number that could not be found is NaN.
 *
 * @param fan name of its channel
 * @param characterised true if it turned, so that the figures mean something
 * @param start duties at which it started from rest
 * @param stop lowest duties at which it kept turning
 * @param minimumRpm lowest speed at which it turned, rpm
 * @param maximumRpm speed at the highest duty, rpm
 * @param linearityPercent largest departure from a straight line, % of the highest speed
 * @param hysteresisPercent difference between the two sides of the sweep, % of duty
 * @param capRpm speed of its flat top, rpm; NaN if it has none
 * @param capFromPercent lowest duty of the flat top, %; NaN if it has none
 * @param spinUpSeconds time constant of gaining speed, s
 * @param coastDownSeconds time constant of losing speed, s
 */
public record FanResult(
        String fan,
        boolean characterised,
        Trials start,
        Trials stop,
        double minimumRpm,
        double maximumRpm,
        double linearityPercent,
        double hysteresisPercent,
        double capRpm,
        double capFromPercent,
        double spinUpSeconds,
        double coastDownSeconds) {

    /**
     * A duty that was sought several times.
     *
     * @param trials how many times it was found
     * @param meanPercent mean, %; NaN if it was never found
     * @param lowestPercent lowest, %; NaN if it was never found
     * @param highestPercent highest, %; NaN if it was never found
     */
    public record Trials(int trials, double meanPercent, double lowestPercent, double highestPercent) {}
}
