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
            throw new IllegalArgumentException("a Modbus unit is 1 to 247, found " + unit);
        }
        if (address < 0 || address + type.registers() > 65536) {
            throw new IllegalArgumentException("a Modbus address is 0 to 65535, found " + address);
        }
        if (!Double.isFinite(scale) || scale == 0.0) {
            throw new IllegalArgumentException("a scale must be finite and not 0, found " + scale);
        }
    }

    /**
     * Reads a register as a bench file writes it, without what it is set to.
     *
     * @param text for example "unit 17 input 30 int16 scale 0.1"
     * @return the register, or empty if the text is none
     */
    public static Optional<ModbusRegister> parse(String text) {
        Matcher m = TEXT.matcher(text);
        if (!m.matches()) {
            return Optional.empty();
        }
        try {
            return Optional.of(new ModbusRegister(
                    Integer.parseInt(m.group(1)),
                    m.group(2).equals("input") ? Table.INPUT : Table.HOLDING,
                    Integer.parseInt(m.group(3)),
                    Type.valueOf(m.group(4).toUpperCase(Locale.ROOT)),
                    m.group(5) != null,
                    m.group(6) == null ? 1.0 : Double.parseDouble(m.group(6))));
        } catch (IllegalArgumentException e) {
            return Optional.empty();
        }
    }
}
