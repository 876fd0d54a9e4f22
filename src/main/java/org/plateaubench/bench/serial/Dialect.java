package org.plateaubench.bench.serial;

import java.util.List;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;

/** How one kind of instrument is spoken to. Each call stays within the exchange's timeout. */
interface Dialect {

    /** Duty is set on a grid of at worst 8 bits, 0.39 %; a readback this close is the one asked for, per cent. */
    double READBACK_TOLERANCE_PERCENT = 0.5;

    /**
     * Asks who is there, and passes over everything that is no answer to that: what a boot loader sends, answers that
     * come late. Afterwards the line is in step: the next answer belongs to the next question.
     *
     * @param exchange with the instrument
     * @param wanted what it should answer; empty if that is not known
     * @return what it answered; empty if this kind of instrument has no identity, though it did answer
     * @throws LineException if nothing fitting came in time, or the line is gone
     */
    String identify(Exchange exchange, String wanted) throws LineException;

    /**
     * Asks all questions of the device once.
     *
     * @param exchange with the instrument
     * @return one reading for each of its columns
     * @throws LineException if nothing came in time, or the line is gone
     */
    List<Reading> read(Exchange exchange) throws LineException;

    /**
     * Sets an actuator and reads it back.
     *
     * @param exchange with the instrument
     * @param actuator one of its actuators
     * @param percent duty, 0 to 100 %
     * @return what came of it
     * @throws LineException if the line is gone, or the command could not be sent
     */
    SetResult set(Exchange exchange, ActuatorSpec actuator, double percent) throws LineException;

    /**
     * The command that sets an actuator.
     *
     * @param actuator the actuator
     * @param percent duty, 0 to 100 %
     * @return what is sent
     */
    static String command(ActuatorSpec actuator, double percent) {
        return actuator.set().replace("{percent}", Decimals.fixed(percent, 2));
    }

    /**
     * What came of setting an actuator that was read back.
     *
     * @param actuator the actuator
     * @param percent what was asked for, per cent
     * @param readback what it read back
     * @param remark what else the instrument says about it, for the case that it is not as asked; may be empty
     * @return done exactly if the readback is a number close enough
     */
    static SetResult compared(ActuatorSpec actuator, double percent, Reading readback, String remark) {
        String asked = asked(percent);
        String found = readback.good() ? readback.text() + " %" : "";
        if (readback.good() && StrictMath.abs(readback.value() - percent) <= READBACK_TOLERANCE_PERCENT) {
            return new SetResult(actuator.name(), asked, true, found, "");
        }
        String detail = readback.good()
                ? "asked for " + asked + ", read back " + found
                : "read back: " + readback.quality().text();
        return new SetResult(actuator.name(), asked, false, found, remark.isEmpty() ? detail : detail + "; " + remark);
    }

    /**
     * Writes a duty as it stands in results.
     *
     * @param percent duty, per cent
     * @return for example "60.00 %"
     */
    static String asked(double percent) {
        return Decimals.fixed(percent, 2) + " %";
    }
}
