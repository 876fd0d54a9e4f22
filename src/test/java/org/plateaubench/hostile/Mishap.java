package org.plateaubench.hostile;

import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.plateaubench.bench.sim.Fault;

/**
 * One thing that goes wrong in a night.
 *
 * @param what a fault of the simulated bench, by the name of its kind, or one of the kinds below
 * @param target device, channel or actuator that it befalls, a signal's name, or empty
 * @param fromSeconds when it begins, s of the bench's own time since the night began
 * @param seconds how long it lasts, s
 * @param value how much, where it has a measure; else 0
 */
record Mishap(String what, String target, double fromSeconds, double seconds, double value) {

    /** Somebody asks the night to end. */
    static final String OPERATOR = "OPERATOR";
    /** The system asks the program to end, or closes its terminal; the target is the signal's name. */
    static final String SIGNAL = "SIGNAL";
    /** The wall clock steps by the measure, in s. */
    static final String CLOCK_STEP = "CLOCK_STEP";
    /** The program gets no time to run; its monotonic clock goes on. */
    static final String STALL = "STALL";
    /** The machine sleeps; its monotonic clock stands still and its wall clock does not. */
    static final String SLEEP = "SLEEP";
    /** The record cannot be written any more. */
    static final String STORAGE = "STORAGE";

    /** The program is killed, and goes on later; only where its record is on disk, and only if it is asked for. */
    static final String KILLED = "KILLED";

    static final List<String> OF_THE_HOST = List.of(OPERATOR, SIGNAL, CLOCK_STEP, STALL, SLEEP, STORAGE);

    long fromMillis() {
        return StrictMath.round(fromSeconds * 1000);
    }

    long toMillis() {
        return Math.max(fromMillis() + 1, StrictMath.round((fromSeconds + seconds) * 1000));
    }

    boolean is(Fault.Kind kind) {
        return what.equals(kind.name());
    }

    boolean overlaps(long fromMillis, long toMillis) {
        return fromMillis() < toMillis && fromMillis < toMillis();
    }

    /** The fault of the simulated bench, unless it befalls the host. */
    Optional<Fault> fault() {
        return OF_THE_HOST.contains(what) || what.equals(KILLED)
                ? Optional.empty()
                : Optional.of(new Fault(Fault.Kind.valueOf(what), target, fromMillis(), toMillis(), value));
    }

    /** Reads what {@link #ticket} writes. */
    static Mishap parse(String text) {
        String[] parts = text.split(":", -1);
        return new Mishap(
                parts[0],
                parts[1],
                Double.parseDouble(parts[2]),
                Double.parseDouble(parts[3]),
                parts.length > 4 ? Double.parseDouble(parts[4]) : 0);
    }

    /** {@return how it stands in a ticket} */
    String ticket() {
        String text = what + ":" + target + ":" + Dice.text(fromSeconds) + ":" + Dice.text(seconds);
        return value == 0 ? text : text + ":" + Dice.text(value);
    }

    @Override
    public String toString() {
        return String.format(
                Locale.ROOT,
                "%s%s at %.1f s for %.1f s%s",
                what,
                target.isEmpty() ? "" : " of " + target,
                fromSeconds,
                seconds,
                value == 0 ? "" : " by " + Dice.text(value));
    }
}
