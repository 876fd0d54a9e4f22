package org.plateaubench.bench.check;

import static org.plateaubench.bench.check.Check.fix;
import static org.plateaubench.bench.check.Check.note;
import static org.plateaubench.bench.check.Check.ok;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.check.Ticks.LimitReached;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.units.Decimals;

/** Each actuator moved a little and back: is it read back, do the right rotors follow, and no others? */
final class ActuatorCheck {

    /** A rotor follows if its speed changes by this share of the change of duty, or more. Judgement, no source. */
    private static final double FOLLOWS = 0.2;

    private static final double UNTOUCHED = 0.05;

    private final Bench bench;
    private final Ticks ticks;
    private final List<Check> checks = new ArrayList<>();

    ActuatorCheck(Bench bench, Ticks ticks) {
        this.bench = bench;
        this.ticks = ticks;
    }

    List<Check> checks(List<Drive> drives) throws LimitReached {
        for (Drive drive : drives) {
            check(drive, drives);
        }
        return checks;
    }

    private void check(Drive drive, List<Drive> all) throws LimitReached {
        ActuatorSpec actuator = drive.actuator();
        SetResult reduced = bench.set(actuator.name(), drive.reducedPercent());
        if (!reduced.done()) {
            checks.add(fix(
                    actuator.name(),
                    "could not be set to " + reduced.asked() + ": " + reduced.detail(),
                    "compare set and readback with the device's manual"));
            bench.set(actuator.name(), actuator.safePercent());
            return;
        }
        Readout slow = drive.settle(ticks);
        SetResult back = bench.set(actuator.name(), actuator.safePercent());
        Readout again = drive.settle(ticks);
        if (!back.done()) {
            checks.add(fix(
                    actuator.name(), "could not be set back to " + back.asked() + ": " + back.detail(), "as above"));
            return;
        }
        int before = checks.size();
        rotors(drive, slow, again);
        others(drive, all, slow);
        if (checks.size() == before) {
            String moved = Decimals.shortest(actuator.safePercent(), 2) + " % to " + reduced.asked() + " and back";
            String read = actuator.readback().isPresent() ? "read back " + reduced.readback() : "not read back";
            String found = moved + ", " + read + speeds(drive, slow);
            if (actuator.readback().isEmpty()) {
                checks.add(note(
                        actuator.name(),
                        found,
                        "state readback if the device can be asked: without it a reset of its outputs goes unseen"));
            } else if (unseen(drive, slow)) {
                checks.add(note(
                        actuator.name(),
                        found,
                        "nobody saw whether anything follows it: check again once its tachometers are read"));
            } else {
                checks.add(ok(actuator.name(), found));
            }
        }
    }

    /** True if it drives rotors that have tachometers, and none of them gave a speed. */
    private static boolean unseen(Drive drive, Readout slow) {
        double[] now = drive.speedsAt(slow);
        return now.length > 0 && Arrays.stream(now).allMatch(Double::isNaN);
    }

    private static String speeds(Drive drive, Readout slow) {
        StringBuilder text = new StringBuilder();
        double[] now = drive.speedsAt(slow);
        for (int i = 0; i < now.length; i++) {
            text.append(i == 0 ? "; " : ", ")
                    .append(drive.speeds().get(i))
                    .append(' ')
                    .append(rpm(drive.fullSpeeds()[i]))
                    .append(" to ")
                    .append(rpm(now[i]));
        }
        return text.append(now.length == 0 ? "" : " rpm").toString();
    }

    private static String rpm(double speed) {
        return Double.isNaN(speed) ? "?" : Decimals.fixed(speed, 0);
    }

    private void rotors(Drive drive, Readout slow, Readout again) {
        double safe = drive.actuator().safePercent();
        double asked = (safe - drive.reducedPercent()) / safe;
        double[] now = drive.speedsAt(slow);
        double[] after = drive.speedsAt(again);
        for (int i = 0; i < now.length; i++) {
            String name = drive.speeds().get(i);
            double full = drive.fullSpeeds()[i];
            if (!(full > 0) || Double.isNaN(now[i])) {
                // That it is not seen is said of the channel.
                continue;
            }
            double change = (full - now[i]) / full;
            String found = name + " goes from " + rpm(full) + " to " + rpm(now[i]) + " rpm when the duty goes from "
                    + Decimals.shortest(safe, 2) + " to " + Decimals.shortest(drive.reducedPercent(), 2) + " %";
            if (change / asked < -FOLLOWS) {
                checks.add(fix(
                        drive.actuator().name(),
                        found + ": the wrong way",
                        "the tachometer counts edges of the PWM wire, or the output is inverted"));
            } else if (change / asked < FOLLOWS) {
                checks.add(fix(
                        drive.actuator().name(),
                        found + ": it does not follow",
                        "see to its PWM wire, and whether it hangs on this output"));
            } else if (!(after[i] > (1 - UNTOUCHED) * full)) {
                checks.add(note(
                        drive.actuator().name(),
                        name + " came back to " + rpm(after[i]) + " rpm only, before " + rpm(full) + " rpm",
                        "does it start freely?"));
            }
        }
    }

    private void others(Drive drive, List<Drive> all, Readout slow) {
        for (Drive other : all) {
            double[] now = other.speedsAt(slow);
            for (int i = 0; other != drive && i < now.length; i++) {
                double full = other.fullSpeeds()[i];
                if (full > 0 && Math.abs(now[i] - full) > UNTOUCHED * full) {
                    checks.add(fix(
                            drive.actuator().name(),
                            "moves " + other.speeds().get(i) + " from " + rpm(full) + " to " + rpm(now[i]) + " rpm",
                            "two outputs or two tachometers are swapped: "
                                    + (other.actuator().name().equals(BenchFile.PUMP_DUTY)
                                            ? "the pump must never hang on the fans' output"
                                            : "compare the wiring with set and ask")));
                }
            }
        }
    }
}
