package org.plateaubench.benchfile;

import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A number in the registers of a Modbus device, as a bench file writes it where another device has a question or a
 * command: "unit 17 input 30 int16 scale 0.1", or to be set "unit 17 holding 40 uint16 scale 0.01 = {percent}".
 *
 * @param unit address of the device on the line, 1 to 247
 * @param table which registers
 * @param address of the first register as it stands in the message, from 0, so one less than the number in some manuals;
 *     0 to 65535
 * @param type how the registers hold the number
 * @param lowWordFirst true if the first of two registers holds the lower half, against the usual order
 * @param scale what one unit of the register is worth in the channel's unit; not 0
 */
public record ModbusRegister(int unit, Table table, int address, Type type, boolean lowWordFirst, double scale) {

    private static final Pattern TEXT = Pattern.compile("unit ([0-9]{1,3}) (input|holding) ([0-9]{1,5}) "
            + "(int16|uint16|int32|uint32|float32)( low-word-first)?(?: scale (-?[0-9]{1,9}(?:\\.[0-9]{1,9})?))?");

    /** The registers of a Modbus device. */
    public enum Table {
        /** Input registers, function 4: to be read only. */
        INPUT,
        /** Holding registers, functions 3, 6 and 16: to be read and written. */
        HOLDING
    }

    /** How registers hold a number. */
    public enum Type {
        /** One register, two's complement. */
        INT16(1),
        /** One register without sign. */
        UINT16(1),
        /** Two registers, two's complement. */
        INT32(2),
        /** Two registers without sign. */
        UINT32(2),
        /** Two registers, single precision of IEEE 754. */
        FLOAT32(2);

        private final int registers;

        Type(int registers) {
            this.registers = registers;
        }

        /** {@return how many registers it takes, 1 or 2} */
        public int registers() {
            return registers;
        }
    }

    /**
     * Checks the numbers.
     *
     * @throws IllegalArgumentException if one is out of its range
     */
    public ModbusRegister {
        if (unit < 1 || unit > 247) {
            throw new IllegalArgumentException("a Modbus unit is 1 to 247");
        }
        if (address < 0 || address + type.registers() > 65536) {
            throw new IllegalArgumentException("a Modbus address is 0 to 65535");
        }
        if (!Double.isFinite(scale) || scale == 0.0) {
            throw new IllegalArgumentException("the scale of a Modbus register is finite and not 0");
        }
    }

    /**
     * Reads a register as a bench file writes it, without what it is set to.
     *
     * @param text for example "unit 17 input 30 int16 scale 0.1"
     * @return the register, or empty if the text is none
     */
    public static Optional<ModbusRegister> parse(String text) {
        try {
            return Optional.of(of(text));
        } catch (IllegalArgumentException e) {
            return Optional.empty();
        }
    }

    /**
     * Says why a text is no register.
     *
     * @param text a text
     * @return why, for a message; empty if it is one
     */
    public static String fault(String text) {
        try {
            of(text);
            return "";
        } catch (IllegalArgumentException e) {
            return e.getMessage();
        }
    }

    private static ModbusRegister of(String text) {
        Matcher m = TEXT.matcher(text);
        if (!m.matches()) {
            throw new IllegalArgumentException("this is no Modbus register");
        }
        return new ModbusRegister(
                Integer.parseInt(m.group(1)),
                m.group(2).equals("input") ? Table.INPUT : Table.HOLDING,
                Integer.parseInt(m.group(3)),
                Type.valueOf(m.group(4).toUpperCase(Locale.ROOT)),
                m.group(5) != null,
                m.group(6) == null ? 1.0 : Double.parseDouble(m.group(6)));
    }

    /**
     * A register and what it is to hold.
     *
     * @param register the register
     * @param registerText how the bench file writes it
     * @param value what it is to hold: a number, or the place for one
     */
    public record Content(ModbusRegister register, String registerText, String value) {

        private static final String TO = " = ";
        private static final String NUMBER = "-?[0-9]{1,10}(\\.[0-9]{1,3})?";

        /**
         * Reads a register with its content.
         *
         * @param text for example "unit 17 holding 40 uint16 scale 0.01 = {percent}"
         * @return the register and what it is to hold, or empty if the text is no such thing
         */
        public static Optional<Content> parse(String text) {
            int to = text.lastIndexOf(TO);
            if (to < 0) {
                return Optional.empty();
            }
            String registerText = text.substring(0, to);
            return ModbusRegister.parse(registerText)
                    .map(register -> new Content(register, registerText, text.substring(to + TO.length())));
        }

        /** {@return true if it is to hold a number that is stated} */
        public boolean stated() {
            return value.matches(NUMBER);
        }

        /**
         * Says why a text is no register with its content.
         *
         * @param text a text
         * @return why, for a message; empty if it is one
         */
        public static String fault(String text) {
            int to = text.lastIndexOf(TO);
            return to < 0
                    ? "this does not say what the register is to hold"
                    : ModbusRegister.fault(text.substring(0, to));
        }
    }
}
