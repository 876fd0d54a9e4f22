package org.plateaubench.fans;

/**
 * What one fan did at one duty of a sweep, settled.
 *
 * @param dutyPercent duty, %; 0 to 100
 * @param rising true if the duty was reached from below
 * @param speedRpm speed, rpm; 0 if the fan stood, NaN without a good reading
 */
public record SweepPoint(double dutyPercent, boolean rising, double speedRpm) {

    /**
     * Checks the point.
     *
     * @throws IllegalArgumentException if the duty is out of its range or NaN, or the speed negative
     */
    public SweepPoint {
        if (!(dutyPercent >= 0.0 && dutyPercent <= 100.0) || speedRpm < 0.0) {
            throw new IllegalArgumentException("a sweep has duties of 0 to 100 % and speeds of 0 rpm or more, found "
                    + dutyPercent + " % and " + speedRpm + " rpm");
        }
    }

    /** {@return true if the fan turned} */
    public boolean running() {
        return speedRpm > 0.0;
    }
}
