package org.plateaubench.engine;

import java.util.Map;
import java.util.TreeMap;

/**
 * What the night has learnt about one duty-speed relation: settled points, newest value a duty. It gives the duty for a
 * speed by interpolation between the two points around it, and by a proportional guess where it knows only one.
 */
final class SpeedMemory {

    /** The slope between points closer than this is more noise than slope, so the newer one replaces the older. */
    private static final double SAME_DUTY_PERCENT = 0.5;

    private final TreeMap<Double, Double> rpmByDuty = new TreeMap<>();

    /** Notes a point and forgets what contradicts it: fans turn a little otherwise when they are warm. */
    void learn(double dutyPercent, double rpm) {
        if (rpm > 0) {
            rpmByDuty.headMap(dutyPercent).values().removeIf(slower -> slower >= rpm);
            rpmByDuty.tailMap(dutyPercent).values().removeIf(faster -> faster <= rpm);
            rpmByDuty
                    .subMap(dutyPercent - SAME_DUTY_PERCENT, false, dutyPercent + SAME_DUTY_PERCENT, false)
                    .clear();
            rpmByDuty.put(dutyPercent, rpm);
        }
    }

    boolean knows() {
        return !rpmByDuty.isEmpty();
    }

    /** The duty for a speed, 0 to 100 %; call only if something is known. */
    double dutyFor(double rpm) {
        Map.Entry<Double, Double> below = null;
        Map.Entry<Double, Double> above = null;
        for (Map.Entry<Double, Double> point : rpmByDuty.entrySet()) {
            if (point.getValue() <= rpm) {
                below = point;
            } else if (above == null) {
                above = point;
            }
        }
        double duty;
        if (below != null && above != null && below.getKey() < above.getKey()) {
            duty = along(below, above, rpm);
        } else if (below != null && rpmByDuty.lowerEntry(below.getKey()) != null) {
            duty = along(rpmByDuty.lowerEntry(below.getKey()), below, rpm);
        } else if (below == null && above != null && rpmByDuty.higherEntry(above.getKey()) != null) {
            duty = along(above, rpmByDuty.higherEntry(above.getKey()), rpm);
        } else {
            Map.Entry<Double, Double> only = below == null ? above : below;
            duty = only.getKey() * rpm / only.getValue();
        }
        return Math.max(0.0, Math.min(100.0, duty));
    }

    private static double along(Map.Entry<Double, Double> a, Map.Entry<Double, Double> b, double rpm) {
        double rise = b.getValue() - a.getValue();
        if (rise <= 0) {
            return b.getKey() * rpm / b.getValue();
        }
        return a.getKey() + (b.getKey() - a.getKey()) * (rpm - a.getValue()) / rise;
    }
}
