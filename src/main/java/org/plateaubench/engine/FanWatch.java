package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.stream.IntStream;

/** The last few speeds of each fan: their means, and whether they have settled. Begun anew when a duty is set. */
final class FanWatch {

    /** Readings that are averaged, and as many before them to compare with. */
    static final int READINGS = 3;
    /** Means that differ by less are settled: this share of the speed, or so many rpm where that is more. */
    private static final double SETTLED_SHARE = 0.005;

    private static final double SETTLED_RPM = 3.0;

    private final Deque<double[]> speeds = new ArrayDeque<>();

    void reset() {
        speeds.clear();
    }

    /** One tick's speeds, one for each fan; NaN for a fan without a good reading. */
    void add(double[] rpm) {
        speeds.addLast(rpm);
        if (speeds.size() > 2 * READINGS) {
            speeds.removeFirst();
        }
    }

    private double mean(int fan, int from, int to) {
        double[][] all = speeds.toArray(double[][]::new);
        return IntStream.range(Math.max(0, from), Math.min(to, all.length))
                .mapToDouble(i -> all[i][fan])
                .filter(rpm -> !Double.isNaN(rpm))
                .average()
                .orElse(Double.NaN);
    }

    /** Mean of each fan's last readings, rpm; 0 for a fan that stood in the last of them, NaN for one without any. */
    double[] means() {
        return IntStream.range(0, speeds.getLast().length)
                .mapToDouble(
                        fan -> speeds.getLast()[fan] == 0.0 ? 0.0 : mean(fan, speeds.size() - READINGS, speeds.size()))
                .toArray();
    }

    /** True if every fan that is read has settled. */
    boolean settled() {
        if (speeds.size() < 2 * READINGS) {
            return false;
        }
        return IntStream.range(0, speeds.getLast().length).allMatch(fan -> {
            double before = mean(fan, 0, READINGS);
            double now = mean(fan, READINGS, 2 * READINGS);
            return Double.isNaN(now) || Math.abs(now - before) <= Math.max(SETTLED_RPM, SETTLED_SHARE * now);
        });
    }
}
