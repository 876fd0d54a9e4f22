package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.results.FanResult.Trials;
import org.plateaubench.results.FanSetResult.CurvePoint;

/** What the journal says of the fans. */
final class FanScan {

    private final List<FanResult> fans = new ArrayList<>();
    private final List<CurvePoint> curve = new ArrayList<>();
    private JournalLine set;

    void take(String decision, JournalLine line) {
        switch (decision) {
            case "fan" -> fans.add(fan(line));
            case "fan-set" -> set = line;
            case "curve" -> {
                double[] duties = line.numbers("duty");
                double[] speeds = line.numbers("rpm");
                for (int i = 0; i < duties.length; i++) {
                    curve.add(new CurvePoint(duties[i], speeds[i]));
                }
            }
            default -> {
                // Not about fans.
            }
        }
    }

    private static FanResult fan(JournalLine line) {
        return new FanResult(
                line.text("fan"),
                line.flag("characterised"),
                trials(line, "start"),
                trials(line, "stop"),
                line.number("minimum"),
                line.number("maximum"),
                line.number("linearity"),
                line.number("hysteresis"),
                line.number("cap"),
                line.number("cap-from"),
                line.number("spin-up"),
                line.number("coast-down"));
    }

    private static Trials trials(JournalLine line, String name) {
        boolean found = line.fields().containsKey(name);
        return new Trials(
                found ? (int) line.whole(name + "-trials") : 0,
                line.number(name),
                line.number(name + "-lowest"),
                line.number(name + "-highest"));
    }

    Optional<FanSetResult> result() {
        return set == null
                ? Optional.empty()
                : Optional.of(new FanSetResult(
                        set.flag("characterised"),
                        set.number("start"),
                        set.number("stop"),
                        set.number("spread"),
                        fans,
                        curve));
    }
}
