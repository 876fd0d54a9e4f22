package org.plateaubench.engine;

import java.time.LocalTime;
import java.time.OffsetDateTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.plan.FansFile;
import org.plateaubench.plan.NightEstimate;
import org.plateaubench.plan.Plan;
import org.plateaubench.sample.Sample;

/** Everything that can influence a decision. Each is recorded, in one order, and applied at a tick. */
public sealed interface Input {

    /**
     * The first input of a run.
     *
     * @param plan what to do
     * @param fans which fan set is mounted
     * @param bench what it is done on
     * @param start wall-clock time at offset zero, with the zone's offset at that time
     * @param levelsFrom own levels of another night, if the level steps shall be those of that night
     * @param zoneChange the next change of the zone's offset, if there is one within a day
     */
    record Header(
            Plan plan,
            FansFile fans,
            BenchFile bench,
            OffsetDateTime start,
            Optional<LevelsFrom> levelsFrom,
            Optional<ZoneChange> zoneChange)
            implements Input {

        /**
         * Time until the next such time of day on the clocks of the zone.
         *
         * @param time local time
         * @return time from the start of the night, s
         */
        public double secondsUntil(LocalTime time) {
            double seconds = NightEstimate.secondsUntil(start, time);
            return zoneChange
                    .filter(change -> seconds > change.afterSeconds())
                    .map(change -> seconds - change.shiftSeconds())
                    .orElse(seconds);
        }
    }

    /**
     * A change of local time against UTC, as when summer time ends.
     *
     * @param afterSeconds when, s after the start of the night
     * @param shiftSeconds by how much local clocks jump ahead, s
     */
    record ZoneChange(double afterSeconds, int shiftSeconds) {}

    /**
     * Own levels that another night had at its level steps, so that fan sets are compared at equal noise whatever the
     * backgrounds of their nights were.
     *
     * @param record name of that night's record
     * @param levels one for each of its level steps, in order
     */
    record LevelsFrom(String record, List<StepLevel> levels) {
        /** Copies the list. */
        public LevelsFrom {
            levels = List.copyOf(levels);
        }

        /**
         * Finds the own level of a step.
         *
         * @param step the step's text, such as "2 dB above background"
         * @return its own level, dB; empty if that night did not have it
         */
        public OptionalDouble ownLevelDb(String step) {
            return levels.stream()
                    .filter(l -> l.step().equals(step))
                    .mapToDouble(StepLevel::ownLevelDb)
                    .findFirst();
        }
    }

    /**
     * The own level at one step.
     *
     * @param step the step's text
     * @param ownLevelDb own level, dB
     */
    record StepLevel(String step, double ownLevelDb) {}

    /**
     * A tick with its readings.
     *
     * @param sample all readings of the tick
     */
    record Tick(Sample sample) implements Input {}

    /**
     * What came of a command of the tick before.
     *
     * @param target name of the actuator, or "heat"
     * @param asked what was asked for, as text
     * @param done true if it was done and read back as asked
     * @param readback what was read back, as text; may be empty
     * @param detail why it was not done; may be empty
     */
    record CommandResult(String target, String asked, boolean done, String readback, String detail) implements Input {}

    /**
     * Something that the heat load did.
     *
     * @param kind what it did
     * @param detail more about it
     */
    record LoadNews(Kind kind, String detail) implements Input {
        /** What a load can do. */
        public enum Kind {
            /** A run of the workload began. */
            STARTED,
            /** A run of the workload ended by itself, with exit status 0. */
            COMPLETED,
            /** A run of the workload failed. */
            FAILED
        }
    }

    /**
     * Something that happened to a device.
     *
     * @param device its name
     * @param kind what happened
     * @param detail more about it
     */
    record DeviceNews(String device, Kind kind, String detail) implements Input {
        /** What can happen to a device. */
        public enum Kind {
            /** Its line is lost. */
            GONE,
            /** It answered again; its outputs may have been reset. */
            BACK,
            /** It was started again though its line never broke; its outputs may have been reset. */
            RESTARTED,
            /** Another device answered in its place. */
            OTHER_IDENTITY
        }
    }

    /**
     * A person asked the night to end.
     *
     * @param by who or what asked
     */
    record Operator(String by) implements Input {}

    /**
     * The operating system asked the program to end, or closed its terminal.
     *
     * @param name for example "INT", "TERM", "HUP"
     */
    record Signal(String name) implements Input {}

    /**
     * The wall clock and the monotonic clock drifted apart, as when somebody set the clock or the machine slept; or the
     * machine stood still; or local time changed its offset from UTC.
     *
     * @param kind "step", "stall" or "zone"
     * @param seconds by how much
     */
    record ClockEvent(String kind, double seconds) implements Input {}

    /**
     * The record cannot be written.
     *
     * @param detail what went wrong
     */
    record StorageFault(String detail) implements Input {}

    /**
     * The night goes on after it was cut off: nothing was read or set in between, and the bench was made safe before it
     * goes on.
     *
     * @param gapSeconds time between the last recorded tick and this one, s
     */
    record Resume(double gapSeconds) implements Input {}
}
