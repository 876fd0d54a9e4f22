package org.plateaubench.results;

import java.util.List;

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
     * @param lowestPercent lowest, %
     * @param highestPercent highest, %
     */
    public record Trials(int trials, double meanPercent, double lowestPercent, double highestPercent) {}

    /**
     * Figures of the set.
     *
     * @param characterised true if every fan that is seen turned
     * @param startPercent duty that starts every fan, %; NaN if none ever stands
     * @param stopPercent duty that keeps every fan turning, %; NaN if none ever stops
     * @param spreadPercent largest less smallest speed at the highest duty, % of the mean
     * @param curve settled mean speed of the set by rising duty; empty unless it is characterised
     */
    public record OfSet(
            boolean characterised,
            double startPercent,
            double stopPercent,
            double spreadPercent,
            List<CurvePoint> curve) {
        /** Copies the list. */
        public OfSet {
            curve = List.copyOf(curve);
        }
    }

    /**
     * One point of the curve of speed over duty.
     *
     * @param dutyPercent duty, %
     * @param rpm mean speed of the fans, rpm
     */
    public record CurvePoint(double dutyPercent, double rpm) {}
}
