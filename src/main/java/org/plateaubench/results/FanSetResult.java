package org.plateaubench.results;

import java.util.List;

/**
 * Figures of a fan set, as it was characterised.
 *
 * @param characterised true if every fan that is seen turned
 * @param startPercent duty that starts every fan, %; NaN if none ever stands
 * @param stopPercent duty that keeps every fan turning, %; NaN if none ever stops
 * @param spreadPercent largest less smallest speed at the highest duty, % of the mean
 * @param fans one for each fan that is seen, in the order of the bench file
 * @param curve settled mean speed of the set by rising duty; empty unless it is characterised
 */
public record FanSetResult(
        boolean characterised,
        double startPercent,
        double stopPercent,
        double spreadPercent,
        List<FanResult> fans,
        List<CurvePoint> curve) {

    /** Copies the lists. */
    public FanSetResult {
        fans = List.copyOf(fans);
        curve = List.copyOf(curve);
    }

    /**
     * One point of the curve of speed over duty.
     *
     * @param dutyPercent duty, %
     * @param rpm mean speed of the fans, rpm
     */
    public record CurvePoint(double dutyPercent, double rpm) {}
}
