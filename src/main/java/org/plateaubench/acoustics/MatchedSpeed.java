package org.plateaubench.acoustics;

/**
 * The speed at which the fans have a wanted level, by the level line of a night.
 *
 * @param rpm the speed, rpm
 * @param lowRpm lower end of its 95 % interval, rpm; 0 where it has none
 * @param highRpm upper end, rpm; infinite where it has none
 * @param ownLevelDb own level there, dB
 * @param extrapolated true if the speed lies outside the speeds that were listened to
 * @param nearResonance true if a resonance was found at a speed next to it
 */
public record MatchedSpeed(
        double rpm, double lowRpm, double highRpm, double ownLevelDb, boolean extrapolated, boolean nearResonance) {

    /** Half-width of the interval above which sets are not compared at this speed, per cent. */
    public static final double WIDEST_PERCENT = 3.0;

    /** {@return half the width of the interval over the speed, per cent; infinite where an end is missing} */
    public double halfWidthPercent() {
        return lowRpm == 0.0 ? Double.POSITIVE_INFINITY : 50.0 * (highRpm - lowRpm) / rpm;
    }

    /** {@return true if the interval is too wide to compare sets at this speed} */
    public boolean tooWide() {
        return halfWidthPercent() > WIDEST_PERCENT;
    }
}
