package org.plateaubench.benchfile;

import java.util.Locale;
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
     * @param parity parity bit of each character
     * @param stopBits stop bits of each character, 1 or 2
     * @param dialect how it is spoken to
     * @param lineEnd what ends a line, as characters
     * @param checksum what each line carries behind an asterisk, if it does
     * @param decimalComma true if its numbers have a comma where others have a point
     * @param identity what it must answer when asked who it is, if it can be asked; of a Modbus device a register, and
     *     what it must hold, such as "unit 17 holding 0 uint16 = 4711"
     * @param bootCount what asks how often it was started, if it can be asked
     * @param timeoutMillis how long one answer may take
     * @param silenceCutoffSeconds after how long without a request it goes to full speed by itself, if it does
     */
    record Serial(
            String name,
            String port,
            int baud,
            Parity parity,
            int stopBits,
            Dialect dialect,
            String lineEnd,
            Optional<Checksum> checksum,
            boolean decimalComma,
            Optional<String> identity,
            Optional<String> bootCount,
            int timeoutMillis,
            OptionalDouble silenceCutoffSeconds)
            implements DeviceSpec {

        /**
         * A device on an ordinary line: no parity, one stop bit, no checksum, a decimal point, no count of its starts.
         *
         * @param name its name in the bench file
         * @param port path of the port
         * @param baud baud rate
         * @param dialect how it is spoken to
         * @param lineEnd what ends a line, as characters
         * @param identity what it must answer when asked who it is, if it can be asked
         * @param timeoutMillis how long one answer may take
         * @param silenceCutoffSeconds after how long without a request it goes to full speed by itself, if it does
         */
        public Serial(
                String name,
                String port,
                int baud,
                Dialect dialect,
                String lineEnd,
                Optional<String> identity,
                int timeoutMillis,
                OptionalDouble silenceCutoffSeconds) {
            this(
                    name,
                    port,
                    baud,
                    Parity.NONE,
                    1,
                    dialect,
                    lineEnd,
                    Optional.empty(),
                    false,
                    identity,
                    Optional.empty(),
                    timeoutMillis,
                    silenceCutoffSeconds);
        }

        /**
         * The instrument that a simulator puts in the place of this device: at its own port, and always spoken to in
         * lines of text, whatever the real one speaks.
         *
         * @param simulatedPort where it answers
         * @return the device
         */
        public Serial simulated(String simulatedPort) {
            boolean registers = dialect == Dialect.MODBUS;
            return new Serial(
                    name,
                    simulatedPort,
                    baud,
                    Parity.NONE,
                    1,
                    registers ? Dialect.TEXT : dialect,
                    lineEnd,
                    Optional.empty(),
                    decimalComma,
                    registers ? Optional.empty() : identity,
                    bootCount,
                    timeoutMillis,
                    silenceCutoffSeconds);
        }
    }

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

    /** The parity bit of each character on a line. */
    enum Parity {
        /** There is none. */
        NONE,
        /** It makes the number of ones even. */
        EVEN,
        /** It makes the number of ones odd. */
        ODD
    }

    /** What a line carries behind it: an asterisk and two hexadecimal digits, calculated over what stands before them. */
    enum Checksum {
        /** Exclusive or of all characters. */
        XOR {
            @Override
            int with(int sum, char character) {
                return sum ^ character;
            }
        },
        /** Sum of all characters, its lowest eight bits. */
        SUM {
            @Override
            int with(int sum, char character) {
                return sum + character;
            }
        };

        abstract int with(int sum, char character);

        /**
         * {@return the text with its checksum behind it, such as "T?*6B"}
         *
         * @param text a line without its end, ISO 8859-1
         */
        public String appended(String text) {
            int sum = 0;
            for (int i = 0; i < text.length(); i++) {
                sum = with(sum, text.charAt(i));
            }
            String digits = Integer.toHexString(0x100 | sum & 0xff).substring(1);
            return text + "*" + digits.toUpperCase(Locale.ROOT);
        }

        /**
         * Takes the checksum off.
         *
         * @param line a line without its end
         * @return what stands before the checksum, or empty if it is missing or wrong
         */
        public Optional<String> checked(String line) {
            int asterisk = line.length() - 3;
            if (asterisk < 0) {
                return Optional.empty();
            }
            String text = line.substring(0, asterisk);
            return appended(text).equalsIgnoreCase(line) ? Optional.of(text) : Optional.empty();
        }
    }
}
