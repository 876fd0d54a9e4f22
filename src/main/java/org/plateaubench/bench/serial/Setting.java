package org.plateaubench.bench.serial;

import java.util.Optional;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Unit;

/**
 * One thing to be set, and how it is known to be set.
 *
 * @param target name of the actuator, or "heat"
 * @param command what is sent, without line end
 * @param readback what asks for the present setting, if it can be asked
 * @param value what is asked for
 * @param unit its unit
 * @param tolerance how far the readback may be from it, in the unit
 */
record Setting(String target, String command, Optional<Question> readback, double value, Unit unit, double tolerance) {

    /** To the hundredth to which duties are recorded. */
    private static final Range DUTY_PERCENT = new Range(-0.005, 100.005);

    /** Controllers keep a duty on a grid of at worst 8 bits, 0.39 %. */
    private static final double DUTY_TOLERANCE_PERCENT = 0.5;

    /** Supplies may read back what they deliver. */
    private static final double POWER_TOLERANCE_SHARE = 0.02;

    private static final double POWER_TOLERANCE_WATTS = 1.0;

    /**
     * An actuator set to a duty.
     *
     * @param actuator the actuator
     * @param percent duty, 0 to 100 %
     * @return the setting
     */
    static Setting of(ActuatorSpec actuator, double percent) {
        String number = actuator.fullScale().isPresent()
                ? Decimals.fixed(percent / 100.0 * actuator.fullScale().getAsInt(), 0)
                : Decimals.fixed(percent, 2);
        return new Setting(
                actuator.name(),
                actuator.set().replace("{percent}", number),
                readback(actuator),
                percent,
                Unit.PERCENT,
                DUTY_TOLERANCE_PERCENT);
    }

    /**
     * The question for the present setting of an actuator.
     *
     * @param actuator an actuator
     * @return its question, or empty if it cannot be asked
     */
    static Optional<Question> readback(ActuatorSpec actuator) {
        return actuator.readback()
                .map(text -> new Question(
                        text,
                        actuator.match(),
                        Unit.PERCENT,
                        100.0 / actuator.fullScale().orElse(100),
                        Optional.of(DUTY_PERCENT)));
    }

    /**
     * A supply set to a power.
     *
     * @param supply the supply
     * @param watts power, W; 0 or more
     * @return the setting
     */
    static Setting of(SupplySpec supply, double watts) {
        return new Setting(
                "heat",
                supply.set().replace("{watt}", Decimals.fixed(watts, 2)),
                readback(supply),
                watts,
                Unit.WATT,
                Math.max(POWER_TOLERANCE_WATTS, POWER_TOLERANCE_SHARE * watts));
    }

    /**
     * The question for the present power of a supply.
     *
     * @param supply a supply
     * @return its question, or empty if it cannot be asked
     */
    static Optional<Question> readback(SupplySpec supply) {
        return supply.readback().map(text -> new Question(text, supply.match(), Unit.WATT, 1.0, Optional.empty()));
    }

    /** {@return what is asked for, as it stands in results, such as "60.00 %"} */
    String asked() {
        return Decimals.fixed(value, 2) + " " + unit.symbol();
    }

    /**
     * What came of it, as the instrument reads it back.
     *
     * @param reading the readback
     * @return done exactly if it is a number close enough
     */
    SetResult compared(Reading reading) {
        if (!reading.good()) {
            return notDone("", "read back: " + reading.quality().text());
        }
        String found = reading.text() + " " + unit.symbol();
        if (StrictMath.abs(reading.value() - value) <= tolerance) {
            return new SetResult(target, asked(), true, found, "");
        }
        return notDone(found, "asked for " + asked() + ", read back " + found);
    }

    /** {@return that it was sent, where nothing can be read back} */
    SetResult sent() {
        return new SetResult(target, asked(), true, "", "");
    }

    /**
     * Why it was not done.
     *
     * @param readback what was read back, may be empty
     * @param detail why, one line
     * @return the result
     */
    SetResult notDone(String readback, String detail) {
        return new SetResult(target, asked(), false, readback, detail);
    }
}
