package org.plateaubench.fans;

import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.OptionalDouble;
import java.util.TreeMap;

/**
 * Speed of a running fan over its duty, straight between measured points and never falling. Measured points that would
 * make it fall are replaced by their mean (isotonic least squares, pool adjacent violators). Below its lowest duty the
 * curve says nothing: whether a fan runs there depends on where it comes from.
 */
public final class DutySpeedCurve {

    /**
     * One measured point, or one of the curve.
     *
     * @param dutyPercent duty, %; 0 to 100
     * @param speedRpm mean speed of the fans, rpm; above 0
     */
    public record Point(double dutyPercent, double speedRpm) {

        /**
         * Checks the point.
         *
         * @throws IllegalArgumentException if a number is out of its range or NaN
         */
        public Point {
            if (!(dutyPercent >= 0.0 && dutyPercent <= 100.0) || !(speedRpm > 0.0) || Double.isInfinite(speedRpm)) {
                throw new IllegalArgumentException("a running fan has a duty of 0 to 100 % and a speed above 0 rpm,"
                        + " found " + dutyPercent + " % and " + speedRpm + " rpm");
            }
        }
    }

    /** Neighbouring duties that share one speed, the mean of so many points. */
    private record Pool(List<Double> duties, double speedRpm, int weight) {

        Pool joined(Pool next) {
            List<Double> all = new ArrayList<>(duties);
            all.addAll(next.duties);
            int n = weight + next.weight;
            return new Pool(all, (weight * speedRpm + next.weight * next.speedRpm) / n, n);
        }
    }

    private final List<Point> points;

    private DutySpeedCurve(List<Point> points) {
        this.points = List.copyOf(points);
    }

    /**
     * The curve through measured points of running fans, in any order; several points at one duty are averaged.
     *
     * @param measured the points, at least one
     * @return the curve
     * @throws IllegalArgumentException if there is no point
     */
    public static DutySpeedCurve through(Collection<Point> measured) {
        if (measured.isEmpty()) {
            throw new IllegalArgumentException("a curve of speed over duty needs a point where the fan runs");
        }
        TreeMap<Double, Pool> byDuty = new TreeMap<>();
        for (Point p : measured) {
            byDuty.merge(p.dutyPercent(), new Pool(List.of(), p.speedRpm(), 1), Pool::joined);
        }
        List<Pool> pools = new ArrayList<>();
        byDuty.forEach((duty, mean) -> {
            Pool pool = new Pool(List.of(duty), mean.speedRpm(), mean.weight());
            while (!pools.isEmpty() && pools.get(pools.size() - 1).speedRpm() > pool.speedRpm()) {
                pool = pools.remove(pools.size() - 1).joined(pool);
            }
            pools.add(pool);
        });
        List<Point> points = new ArrayList<>();
        for (Pool pool : pools) {
            pool.duties().forEach(duty -> points.add(new Point(duty, pool.speedRpm())));
        }
        return new DutySpeedCurve(points);
    }

    /** {@return the points of the curve by rising duty, speeds never falling} */
    public List<Point> points() {
        return points;
    }

    /** {@return lowest speed of the curve, rpm} */
    public double lowestRpm() {
        return points.get(0).speedRpm();
    }

    /**
     * Speed at a duty.
     *
     * @param dutyPercent duty, %
     * @return rpm; empty below the lowest duty of the curve, above its highest duty, or for NaN
     */
    public OptionalDouble speedRpm(double dutyPercent) {
        if (dutyPercent == points.get(0).dutyPercent()) {
            return OptionalDouble.of(lowestRpm());
        }
        for (int i = 1; i < points.size(); i++) {
            Point a = points.get(i - 1);
            Point b = points.get(i);
            if (dutyPercent > a.dutyPercent() && dutyPercent <= b.dutyPercent()) {
                double share = (dutyPercent - a.dutyPercent()) / (b.dutyPercent() - a.dutyPercent());
                return OptionalDouble.of(a.speedRpm() + share * (b.speedRpm() - a.speedRpm()));
            }
        }
        return OptionalDouble.empty();
    }

    /**
     * Lowest duty that gives a speed.
     *
     * @param speedRpm speed, rpm
     * @return duty, %; empty if the speed is outside the curve or NaN
     */
    public OptionalDouble dutyPercent(double speedRpm) {
        if (speedRpm == lowestRpm()) {
            return OptionalDouble.of(points.get(0).dutyPercent());
        }
        for (int i = 1; i < points.size(); i++) {
            Point a = points.get(i - 1);
            Point b = points.get(i);
            if (speedRpm > a.speedRpm() && speedRpm <= b.speedRpm()) {
                double share = (speedRpm - a.speedRpm()) / (b.speedRpm() - a.speedRpm());
                return OptionalDouble.of(a.dutyPercent() + share * (b.dutyPercent() - a.dutyPercent()));
            }
        }
        return OptionalDouble.empty();
    }
}
