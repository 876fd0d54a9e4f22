package org.plateaubench.fans;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.plateaubench.units.Decimals;

/**
 * The figures of a fan set on one duty line.
 *
 * @param fans one for each fan that is seen, in the order of the bench file; at least one
 * @param ratedRpm nameplate speed at full duty, rpm, if known
 * @param sharedTachometerOf for how many fans the one tachometer is seen, if the others are unseen
 */
public record FanSetFigures(List<FanFigures> fans, OptionalDouble ratedRpm, OptionalInt sharedTachometerOf) {

    // What is worth saying. Common practice, no source.
    private static final double HYSTERESIS_PERCENT = 2.0;
    private static final double FALL_PERCENT = 1.0;
    private static final double UNLIKE_SHARE = 0.05;

    /** Of two unlike fans nothing says which is the odd one. */
    private static final int FEWEST_TO_COMPARE = 3;

    /** Copies the list. */
    public FanSetFigures {
        fans = List.copyOf(fans);
    }

    /** {@return true if every fan that is seen turned} */
    public boolean characterised() {
        return fans.stream().allMatch(FanFigures::characterised);
    }

    /** {@return duty that starts every fan, %; empty if a fan's is unknown or none ever stands} */
    public OptionalDouble startPercent() {
        boolean known = fans.stream().allMatch(f -> f.start().isPresent() || f.neverStopped());
        return known
                ? fans.stream()
                        .flatMap(f -> f.start().stream())
                        .mapToDouble(DutyTrials::highestPercent)
                        .max()
                : OptionalDouble.empty();
    }

    /** {@return duty that keeps every fan turning, %; empty if none ever stops} */
    public OptionalDouble stopPercent() {
        return fans.stream()
                .flatMap(f -> f.stop().stream())
                .mapToDouble(DutyTrials::highestPercent)
                .max();
    }

    /** {@return largest less smallest speed at the highest duty, % of the mean; NaN unless the set is characterised} */
    public double spreadPercent() {
        var tops = fans.stream().mapToDouble(f -> f.sweep().topRpm()).summaryStatistics();
        return characterised() ? 100.0 * (tops.getMax() - tops.getMin()) / tops.getAverage() : Double.NaN;
    }

    /** {@return what whoever reads the figures must know, fan by fan, then of the set} */
    public List<FanFinding> findings() {
        List<FanFinding> found = new ArrayList<>();
        for (FanFigures fan : fans) {
            if (fan.characterised()) {
                ofFan(fan, found);
            } else {
                found.add(new FanFinding(
                        FanFinding.Kind.NO_ANSWER,
                        fan.fan(),
                        "did not turn at any duty, or its tachometer gave nothing: it is not characterised"));
            }
        }
        if (sharedTachometerOf.isPresent()) {
            found.add(new FanFinding(
                    FanFinding.Kind.SHARED_TACHOMETER,
                    "",
                    "one tachometer is seen for " + sharedTachometerOf.getAsInt()
                            + " fans; what the others do is unknown"));
        }
        if (ratedRpm.isEmpty()) {
            found.add(new FanFinding(
                    FanFinding.Kind.NO_RATED_SPEED,
                    "",
                    "the fans file states no rated-speed, so a factor common to all tachometers would not be seen"));
        }
        return found;
    }

    private void ofFan(FanFigures fan, List<FanFinding> found) {
        DutySweep sweep = fan.sweep();
        Optional<String> tachometer = tachometer(fan);
        tachometer.ifPresent(text -> found.add(new FanFinding(FanFinding.Kind.TACHOMETER, fan.fan(), text)));
        if (fan.neverStopped()) {
            found.add(new FanFinding(
                    FanFinding.Kind.NEVER_STOPS,
                    fan.fan(),
                    "turned at every duty, at " + rpm(sweep.lowestRpm()) + " or more"));
        } else if (fan.stopsBelowThreshold()) {
            found.add(new FanFinding(
                    FanFinding.Kind.STOPS_BELOW_THRESHOLD,
                    fan.fan(),
                    "stops below " + percent(fan.stop().orElseThrow().meanPercent()) + " duty from "
                            + rpm(fan.minimumRpm()) + ": a threshold of its electronics"));
        }
        sweep.cap()
                .ifPresent(cap -> found.add(new FanFinding(
                        FanFinding.Kind.SPEED_CAPPED,
                        fan.fan(),
                        "does not turn faster than " + rpm(cap.speedRpm()) + ", from " + percent(cap.fromPercent())
                                + " duty on")));
        if (Math.abs(sweep.hysteresisPercent()) >= HYSTERESIS_PERCENT) {
            found.add(new FanFinding(
                    FanFinding.Kind.HYSTERESIS,
                    fan.fan(),
                    "turns as fast from above as with " + percent(sweep.hysteresisPercent())
                            + " more duty from below, a difference of up to " + rpm(sweep.hysteresisRpm())));
        }
        fan.start()
                .filter(DutyTrials::scatter)
                .ifPresent(start -> found.add(new FanFinding(
                        FanFinding.Kind.STICKY_START,
                        fan.fan(),
                        "started at " + percent(start.lowestPercent()) + " to " + percent(start.highestPercent())
                                + " duty: it sticks")));
        if (sweep.largestFallPercent() > FALL_PERCENT && tachometer.isEmpty()) {
            found.add(new FanFinding(
                    FanFinding.Kind.NOT_MONOTONIC,
                    fan.fan(),
                    "slows by " + percent(sweep.largestFallPercent()) + " of its highest speed while the duty rises"));
        }
        double ratio = ratioToOthers(fan);
        if (Math.abs(ratio - 1.0) > UNLIKE_SHARE && tachometer.isEmpty()) {
            found.add(new FanFinding(
                    FanFinding.Kind.UNLIKE_THE_OTHERS,
                    fan.fan(),
                    "turns " + percent(100.0 * Math.abs(ratio - 1.0)) + (ratio < 1.0 ? " slower" : " faster")
                            + " than the others at the same duty"));
        }
        if (fan.spinUpSeconds().isEmpty() || fan.coastDownSeconds().isEmpty()) {
            found.add(new FanFinding(
                    FanFinding.Kind.TOO_FAST_TO_TELL,
                    fan.fan(),
                    "changes its speed faster than can be told from readings so far apart, or by too little"));
        }
    }

    private Optional<String> tachometer(FanFigures fan) {
        double top = fan.sweep().topRpm();
        // A fan whose electronics cap its speed does not reach its rated one; its tachometer may still be right.
        Optional<String> rated = ratedRpm.isEmpty() || fan.sweep().cap().isPresent()
                ? Optional.empty()
                : TachometerFault.ofRatio(top, ratedRpm.getAsDouble())
                        .map(f -> f.text() + ": reads " + rpm(top) + " at the highest duty, rated "
                                + rpm(ratedRpm.getAsDouble()));
        double ratio = ratioToOthers(fan);
        return rated.or(() -> TachometerFault.ofRatio(ratio, 1.0)
                        .map(f -> f.text() + ": reads " + Decimals.fixed(ratio, 2) + " times the others"))
                .or(() -> TachometerFault.inSweep(fan.sweep().means())
                        .map(f -> f.text() + ": its readings are no smooth function of the duty"))
                .or(() -> fan.coasting().map(f -> f.text() + ": its readings rose while it slowed"));
    }

    /** Ratio of a fan's speed to that of the middle fan of the set; 1 where fewer than three can be compared. */
    private double ratioToOthers(FanFigures fan) {
        double[] ratios = fans.stream()
                .filter(FanFigures::characterised)
                .mapToDouble(other -> fan.sweep().ratioTo(other.sweep()))
                .toArray();
        return ratios.length < FEWEST_TO_COMPARE ? 1.0 : DutySweep.median(ratios);
    }

    private static String rpm(double value) {
        return Decimals.fixed(value, 0) + " rpm";
    }

    private static String percent(double value) {
        return Decimals.fixed(value, 1) + " %";
    }
}
