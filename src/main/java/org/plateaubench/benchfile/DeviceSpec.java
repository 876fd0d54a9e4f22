package org.plateaubench.benchfile;

import java.util.Optional;
import java.util.OptionalDouble;

/** A device of the bench. */
public sealed interface DeviceSpec {

    /** {@return its name in the bench file} */
    String name();

    /**
     * A device on a serial line.
     *
     * @param name its name in the bench file
     * @param port path of the port; "simulated" on the simulated bench
     * @param baud baud rate
     * @param dialect how it is spoken to
     * @param lineEnd what ends a line, as characters
     * @param identity what it must answer when asked who it is, if it can be asked
     * @param timeoutMillis how long one answer may take
     * @param silenceCutoffSeconds after how long without a request it goes to full speed by itself, if it does
     */
    record Serial(
            String name,
            String port,
            int baud,
            Dialect dialect,
            String lineEnd,
            Optional<String> identity,
            int timeoutMillis,
            OptionalDouble silenceCutoffSeconds)
            implements DeviceSpec {}

    /**
     * A computer, for host sensors and facts.
     *
     * @param name its name in the bench file
     * @param simulated true on the simulated bench
     */
    record Computer(String name, boolean simulated) implements DeviceSpec {}

    /** How a serial device is spoken to. */
    enum Dialect {
        /** IEEE 488.2 and SCPI: *IDN?, compound queries, SYST:ERR?. */
        SCPI,
        /** One line asked, one line answered, matched by a regular expression. */
        TEXT,
        /** Modbus RTU registers. */
        MODBUS
    }
}
