package org.plateaubench.fans;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.TreeMap;

/**
 * What sweeps of the duty, up and down, tell of one fan. Points of several sweeps at one duty and from one side are
 * averaged; those without a good reading are passed over.
 */
public final class DutySweep {

    /** Speeds within this share of the highest belong to the flat top of a capped fan. */
    private static final double FLAT_SHARE = 0.01;
    /** A flat part takes so many points, and so much duty, before it is more than the end of a curve. */
    private static final int FEWEST_FLAT_POINTS = 3;

    private static final double LEAST_FLAT_PERCENT = 5.0;
    /** Where speed rises less than this share of its mean rise, a difference of speed says nothing of duty. */
    private static final double STEEP_SHARE = 0.25;
    /** A curve that rises by less than this share of its top says nothing of duty anywhere. */
    private static final double RISES_SHARE = 0.1;

    private final List<SweepPoint> points;
    private final TreeMap<Double, Double> rising;
    private final TreeMap<Double, Double> falling;
    /** Mean speed of the running fan by duty, both sides together, each side counting once. */
    private final TreeMap<Double, Double> running = new TreeMap<>();

    /**
     * The sweeps of one fan.
     *
     * @param points in any order; may be empty
     */
    public DutySweep(Collection<SweepPoint> points) {
        this.points = points.stream().filter(p -> !Double.isNaN(p.speedRpm())).toList();
        this.rising = branch(true);
        this.falling = branch(false);
        rising.forEach(running::put);
        falling.forEach((duty, rpm) -> running.merge(duty, rpm, (a, b) -> (a + b) / 2.0));
    }

    private TreeMap<Double, Double> branch(boolean up) {
        TreeMap<Double, List<Double>> speeds = new TreeMap<>();
        points.stream()
                .filter(p -> p.rising() == up && p.running())
                .forEach(p -> speeds.computeIfAbsent(p.dutyPercent(), d -> new ArrayList<>())
                        .add(p.speedRpm()));
        TreeMap<Double, Double> means = new TreeMap<>();
        speeds.forEach((duty, all) -> means.put(
                duty, all.stream().mapToDouble(Double::doubleValue).average().orElseThrow()));
        return means;
    }

    /**
     * Part of a sweep in which the speed no longer rises with the duty.
     *
     * @param speedRpm the speed, rpm
     * @param fromPercent lowest duty that gives it, %
     */
    public record Cap(double speedRpm, double fromPercent) {}

    /** {@return true if the fan turned at any duty} */
    public boolean answered() {
        return !running.isEmpty();
    }

    /** {@return mean speed at each duty where the fan turned, by rising duty; empty if it never did} */
    public List<DutySpeedCurve.Point> means() {
        List<DutySpeedCurve.Point> means = new ArrayList<>();
        running.forEach((duty, rpm) -> means.add(new DutySpeedCurve.Point(duty, rpm)));
        return List.copyOf(means);
    }

    /** {@return speed at the highest duty where the fan turned, rpm; NaN if it never did} */
    public double topRpm() {
        return answered() ? running.lastEntry().getValue() : Double.NaN;
    }

    /** {@return lowest speed at which the fan turned, rpm; NaN if it never did} */
    public double lowestRpm() {
        return running.values().stream().mapToDouble(Double::doubleValue).min().orElse(Double.NaN);
    }

    /** {@return lowest duty at which the fan was seen turning on the way up, %; empty if it never did} */
    public OptionalDouble startedBy() {
        return rising.isEmpty() ? OptionalDouble.empty() : OptionalDouble.of(rising.firstKey());
    }

    /** {@return highest duty at which the fan was seen standing on the way down, %; empty if it never stopped} */
    public OptionalDouble stoppedAt() {
        return points.stream()
                .filter(p -> !p.rising() && !p.running())
                .mapToDouble(SweepPoint::dutyPercent)
                .max();
    }

    /**
     * By how much duty the two sides differ: the difference of speed at one duty over the slope of the curve there; the
     * median over all duties where both sides turn and the curve rises.
     *
     * @return %; 0 or near it for a fan without play; NaN if there is no such duty, or the curve hardly rises at all
     */
    public double hysteresisPercent() {
        if (!answered() || topRpm() - lowestRpm() < RISES_SHARE * topRpm()) {
            return Double.NaN;
        }
        double[] shifts = running.keySet().stream()
                .filter(duty -> rising.containsKey(duty) && falling.containsKey(duty))
                .filter(duty -> slope(duty) > STEEP_SHARE * meanSlope())
                .mapToDouble(duty -> (falling.get(duty) - rising.get(duty)) / slope(duty))
                .toArray();
        return median(shifts);
    }

    /** {@return largest difference of speed between the two sides at one duty, rpm; NaN if no duty has both} */
    public double hysteresisRpm() {
        return running.keySet().stream()
                .filter(duty -> rising.containsKey(duty) && falling.containsKey(duty))
                .mapToDouble(duty -> Math.abs(falling.get(duty) - rising.get(duty)))
                .max()
                .orElse(Double.NaN);
    }

    private double slope(double duty) {
        Map.Entry<Double, Double> below = running.lowerEntry(duty);
        Map.Entry<Double, Double> above = running.higherEntry(duty);
        if (below == null || above == null) {
            return Double.NaN;
        }
        return (above.getValue() - below.getValue()) / (above.getKey() - below.getKey());
    }

    private double meanSlope() {
        return (running.lastEntry().getValue() - running.firstEntry().getValue())
                / (running.lastKey() - running.firstKey());
    }

    /** {@return the flat top, where the fan has one before the highest duty} */
    public Optional<Cap> cap() {
        if (!answered()) {
            return Optional.empty();
        }
        List<Double> flat = new ArrayList<>();
        for (Map.Entry<Double, Double> point : running.descendingMap().entrySet()) {
            if (point.getValue() < topRpm() * (1.0 - FLAT_SHARE)) {
                break;
            }
            flat.add(point.getKey());
        }
        double from = flat.get(flat.size() - 1);
        return flat.size() >= FEWEST_FLAT_POINTS && running.lastKey() - from >= LEAST_FLAT_PERCENT
                ? Optional.of(new Cap(topRpm(), from))
                : Optional.empty();
    }

    /**
     * Largest departure of the speed from the straight line that fits it best (least squares), over the part where it
     * rises: without a flat top, and without a flat bottom.
     *
     * @return % of the highest speed; NaN for fewer than three points
     */
    public double linearityPercent() {
        double capFrom = cap().map(Cap::fromPercent).orElse(100.0);
        List<Map.Entry<Double, Double>> line = new ArrayList<>();
        double flatBottom = lowestRpm() * (1.0 + FLAT_SHARE);
        for (Map.Entry<Double, Double> point : running.entrySet()) {
            Map.Entry<Double, Double> next = running.higherEntry(point.getKey());
            boolean bottom = next != null && next.getValue() <= flatBottom;
            if (!bottom && point.getKey() <= capFrom) {
                line.add(point);
            }
        }
        if (line.size() < FEWEST_FLAT_POINTS) {
            return Double.NaN;
        }
        double x = line.stream().mapToDouble(Map.Entry::getKey).average().orElseThrow();
        double y = line.stream().mapToDouble(Map.Entry::getValue).average().orElseThrow();
        double xx = line.stream()
                .mapToDouble(p -> (p.getKey() - x) * (p.getKey() - x))
                .sum();
        double xy = line.stream()
                .mapToDouble(p -> (p.getKey() - x) * (p.getValue() - y))
                .sum();
        double most = line.stream()
                .mapToDouble(p -> Math.abs(p.getValue() - y - xy / xx * (p.getKey() - x)))
                .max()
                .orElseThrow();
        return 100.0 * most / topRpm();
    }

    /** {@return largest fall of the speed while the duty rises, % of the highest speed; 0 for a fan that never slows} */
    public double largestFallPercent() {
        double highest = 0.0;
        double fall = 0.0;
        for (double rpm : running.values()) {
            highest = Math.max(highest, rpm);
            fall = Math.max(fall, highest - rpm);
        }
        return answered() ? 100.0 * fall / highest : Double.NaN;
    }

    /**
     * Ratio of this fan's speeds to another's at the same duties.
     *
     * @param other the other fan
     * @return the median; NaN if they never turned at one duty
     */
    public double ratioTo(DutySweep other) {
        return median(running.keySet().stream()
                .filter(other.running::containsKey)
                .mapToDouble(duty -> running.get(duty) / other.running.get(duty))
                .toArray());
    }

    /** The median of some numbers; NaN of none. */
    static double median(double[] values) {
        if (values.length == 0) {
            return Double.NaN;
        }
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        int middle = sorted.length / 2;
        return sorted.length % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2.0;
    }
}
