package org.plateaubench.fans;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/** What can be wrong with a tachometer's readings although they look like speeds. */
public enum TachometerFault {
    /** Twice as many pulses are counted as the fan gives, as by ringing edges or a fan with four pulses a revolution. */
    DOUBLING("tachometer-doubling"),
    /** Half as many are counted, as where every second edge is missed. */
    HALVING("tachometer-halving"),
    /** Edges of the duty are counted too: at part duty the readings are above those at full duty, which has no edges. */
    COUPLING("tachometer-coupling"),
    /** A coasting fan without drive gives stray edges: its readings rise while it slows. */
    COASTING_EDGES("tachometer-coasting-edges");

    /** How near a ratio must come to two or a half to be called so. Common practice, no source. */
    private static final double NEAR = 0.15;
    /** Below this share of the highest reading, neighbouring duties may truly differ by a factor. */
    private static final double FAST_SHARE = 0.2;
    /** Between neighbouring duties a speed rises from not at all to in proportion; so much more is a jump. */
    private static final double JUMP_UP = 1.7;
    /** It does not fall; so much less is a jump. */
    private static final double JUMP_DOWN = 0.6;
    /** By so much of the highest speed a reading must stand out before it is called implausible. */
    private static final double STANDS_OUT = 0.05;

    private final String text;

    TachometerFault(String text) {
        this.text = text;
    }

    /** {@return its recorded text} */
    public String text() {
        return text;
    }

    /**
     * Compares a speed with what it should be: the nameplate's, or that of the other fans.
     *
     * @param rpm speed, rpm
     * @param expectedRpm what it should be about, rpm
     * @return doubling or halving, if the ratio is near two or a half
     */
    public static Optional<TachometerFault> ofRatio(double rpm, double expectedRpm) {
        double ratio = rpm / expectedRpm;
        if (Math.abs(ratio / 2.0 - 1.0) <= NEAR) {
            return Optional.of(DOUBLING);
        }
        return Math.abs(ratio * 2.0 - 1.0) <= NEAR ? Optional.of(HALVING) : Optional.empty();
    }

    /**
     * Looks for readings that jump by two or a half from one duty to the next, or lie above those at full duty.
     *
     * @param curve settled speeds by rising duty, as they were read; at least one
     * @return what was found
     */
    public static Optional<TachometerFault> inSweep(List<DutySpeedCurve.Point> curve) {
        double top = curve.get(curve.size() - 1).speedRpm();
        double most =
                curve.stream().mapToDouble(DutySpeedCurve.Point::speedRpm).max().orElseThrow();
        for (int i = 1; i < curve.size(); i++) {
            double before = curve.get(i - 1).speedRpm();
            double after = curve.get(i).speedRpm();
            double byDuty = curve.get(i).dutyPercent() / curve.get(i - 1).dutyPercent();
            if (Math.min(before, after) < FAST_SHARE * most) {
                continue;
            }
            if (after >= before * JUMP_UP * byDuty) {
                return Optional.of(DOUBLING);
            }
            if (after <= before * JUMP_DOWN) {
                return Optional.of(HALVING);
            }
        }
        boolean above = curve.stream().anyMatch(p -> p.speedRpm() > top * (1.0 + STANDS_OUT));
        return above ? Optional.of(COUPLING) : Optional.empty();
    }

    /**
     * Looks for readings that rise while a fan coasts.
     *
     * @param rpm readings from the moment when the drive was taken away, rpm; NaN where there is none
     * @return stray edges, if there are any
     */
    public static Optional<TachometerFault> whileCoasting(double[] rpm) {
        double[] readings = Arrays.stream(rpm).filter(r -> !Double.isNaN(r)).toArray();
        double lowest = Double.POSITIVE_INFINITY;
        for (double reading : readings) {
            if (reading > lowest + STANDS_OUT * readings[0]) {
                return Optional.of(COASTING_EDGES);
            }
            lowest = Math.min(lowest, reading);
        }
        return Optional.empty();
    }
}
