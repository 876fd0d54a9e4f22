package org.plateaubench.benchfile;

import java.time.LocalDate;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.regex.Pattern;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/**
 * One thing that is read at each tick.
 *
 * @param name its name
 * @param device name of the device that it is read from
 * @param source how it is asked for
 * @param unit unit of its readings
 * @param tachometerPulses pulses a revolution, if the device answers with a pulse frequency in Hz
 * @param correction what is added to an indicated value, in the channel's unit (a difference); 0 where none is known
 * @param uncertainty uncertainty of the corrected value, if stated
 * @param calibration where the correction came from, if stated
 * @param valid range of believable values, if stated
 * @param timeConstantSeconds lag of the probe, if known
 * @param frozenAfterSeconds after how long of identical readings the sensor counts as frozen, if it does
 * @param level what makes the channel a sound level, if it is one
 */
public record ChannelSpec(
        String name,
        String device,
        Source source,
        Unit unit,
        OptionalInt tachometerPulses,
        double correction,
        Optional<Uncertainty> uncertainty,
        Optional<Calibration> calibration,
        Optional<Range> valid,
        OptionalDouble timeConstantSeconds,
        OptionalDouble frozenAfterSeconds,
        Optional<Level> level) {

    /** No thermometer of a bench reads beyond this, °C; a number that lost its decimal point does. */
    private static final Range ANY_THERMOMETER = new Range(-40.0, 150.0);

    /** No rotor of a computer is faster, rpm; a tachometer that counts the edges of a PWM wire is. */
    private static final Range ANY_ROTOR = new Range(0.0, 20_000.0);

    /** {@return the range of believable values: that of the bench file, or else that of any such sensor, if there is one} */
    public Optional<Range> believable() {
        return valid.or(() -> tachometerPulses.isPresent()
                ? Optional.of(ANY_ROTOR)
                : unit == Unit.CELSIUS ? Optional.of(ANY_THERMOMETER) : Optional.empty());
    }

    /**
     * Whether a value may be believed.
     *
     * @param value indicated value, in the channel's unit
     * @return true if it is in the range of believable values, or there is none
     */
    public boolean believes(double value) {
        return believable().map(range -> range.contains(value)).orElse(true);
    }

    /** {@return the range of believable values for messages, such as "5 °C to 80 °C"; empty if none is stated} */
    public String validText() {
        return valid.map(v -> new Quantity(v.low(), unit) + " to " + new Quantity(v.high(), unit))
                .orElse("");
    }

    /**
     * {@return the same channel, read in another way}
     *
     * @param otherDevice name of the device that it is read from
     * @param otherSource how it is asked for
     */
    public ChannelSpec readFrom(String otherDevice, Source otherSource) {
        return new ChannelSpec(
                name,
                otherDevice,
                otherSource,
                unit,
                tachometerPulses,
                correction,
                uncertainty,
                calibration,
                valid,
                timeConstantSeconds,
                frozenAfterSeconds,
                level);
    }

    /** How a channel is asked for. */
    public sealed interface Source {

        /**
         * A question to a serial device.
         *
         * @param question what is sent, without line end
         * @param match what the answer must match, its first group being the number; empty: the whole answer
         */
        record Ask(String question, Optional<Pattern> match) implements Source {}

        /**
         * A labelled sensor of the computer, never found by index.
         *
         * @param label chip name, a slash, the sensor's label
         */
        record HostSensor(String label) implements Source {}

        /**
         * A fact of the computer.
         *
         * @param name for example "processor-clock"
         */
        record HostFact(String name) implements Source {}
    }

    /**
     * Stated uncertainty of a corrected reading.
     *
     * @param standard standard uncertainty, in the channel's unit (a difference)
     * @param stated how it was stated, for the report, such as "±0.10 K (k = 2)" or "limits ±0.10 K"
     */
    public record Uncertainty(double standard, String stated) {
        /** How a statement of limits begins. */
        static final String LIMITS = "limits";

        /** {@return true if only limits were stated, and any value between them is as likely as any other} */
        public boolean limits() {
            return stated.startsWith(LIMITS);
        }
    }

    /**
     * Where a correction came from.
     *
     * @param certificate its number or name
     * @param due last day on which it holds
     */
    public record Calibration(String certificate, LocalDate due) {}

    /**
     * A range of values, both ends included.
     *
     * @param low lower end, in the channel's unit
     * @param high upper end, in the channel's unit
     */
    public record Range(double low, double high) {
        /**
         * Tells whether a value lies inside.
         *
         * @param value in the channel's unit
         * @return true from the lower to the upper end
         */
        public boolean contains(double value) {
            return value >= low && value <= high;
        }
    }

    /**
     * What a level meter declares.
     *
     * @param weighting frequency weighting, such as "A"
     * @param response time response, such as "LAeq 1 s"
     * @param floorDb the meter's own noise floor, dB, if stated
     */
    public record Level(String weighting, String response, OptionalDouble floorDb) {}
}
