package org.plateaubench.bench.serial;

import com.digitalpetri.modbus.ExceptionCode;
import com.digitalpetri.modbus.pdu.ReadHoldingRegistersRequest;
import com.digitalpetri.modbus.pdu.ReadInputRegistersRequest;
import com.digitalpetri.modbus.pdu.WriteMultipleRegistersRequest;
import com.digitalpetri.modbus.pdu.WriteSingleRegisterRequest;
import java.nio.ByteBuffer;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.HexFormat;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.IntStream;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.benchfile.ModbusRegister;
import org.plateaubench.benchfile.ModbusRegister.Table;
import org.plateaubench.benchfile.ModbusRegister.Type;
import org.plateaubench.clock.Deadline;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Unit;

/**
 * Modbus RTU instruments (MODBUS application protocol V1.1b3). Registers that lie beside each other are read with one
 * request. An identity is a register and the number that it must hold; without one, whatever answers the first request
 * is taken for the right device.
 */
final class ModbusDialect implements Dialect {

    private static final HexFormat HEX = HexFormat.of();

    /** Application protocol V1.1b3, 6.3. */
    private static final int MOST_REGISTERS = 125;

    private static final int EXCEPTION = 0x80;

    private final List<Question> questions;
    private final List<ModbusRegister> registers;
    private final List<Block> blocks;
    private final long gapMillis;

    /**
     * Registers that are read with one request.
     *
     * @param first the first of them
     * @param count how many registers
     * @param questions which questions they answer, as indices
     */
    private record Block(ModbusRegister first, int count, List<Integer> questions) {}

    /**
     * The dialect of the instruments on one line.
     *
     * @param questions what is asked at each tick, in the order of the columns
     * @param commands what will be set
     * @param baud baud rate, for the silence between frames
     * @throws IllegalArgumentException if a question or a command is no register
     */
    ModbusDialect(List<Question> questions, List<String> commands, int baud) {
        commands.forEach(ModbusDialect::content);
        this.questions = List.copyOf(questions);
        this.registers = questions.stream().map(q -> register(q.text())).toList();
        this.blocks = blocks();
        this.gapMillis = gapMillis(baud);
    }

    /** Modbus over serial line V1.02, 2.5.1.1: 3.5 characters of 11 bits, and 1.75 ms above 19200 baud; rounded up. */
    private static long gapMillis(int baud) {
        return baud > 19_200 ? 2 : (long) StrictMath.ceil(3.5 * 11 * 1000 / baud);
    }

    private static ModbusRegister register(String text) {
        return ModbusRegister.parse(text)
                .orElseThrow(() -> new IllegalArgumentException("\"" + text + "\": " + ModbusRegister.fault(text)
                        + "; needed is for example \"unit 17 input 30 int16 scale 0.1\""));
    }

    private List<Block> blocks() {
        List<Integer> ordered =
                new ArrayList<>(IntStream.range(0, registers.size()).boxed().toList());
        ordered.sort(Comparator.<Integer>comparingInt(i -> registers.get(i).unit())
                .thenComparing(i -> registers.get(i).table())
                .thenComparingInt(i -> registers.get(i).address()));
        List<Block> joined = new ArrayList<>();
        for (int i : ordered) {
            ModbusRegister next = registers.get(i);
            Block last = joined.isEmpty() ? null : joined.get(joined.size() - 1);
            if (last != null && beside(last, next)) {
                int end = Math.max(
                        last.count(),
                        next.address() + next.type().registers() - last.first().address());
                List<Integer> all = new ArrayList<>(last.questions());
                all.add(i);
                joined.set(joined.size() - 1, new Block(last.first(), end, all));
            } else {
                joined.add(new Block(next, next.type().registers(), List.of(i)));
            }
        }
        return joined;
    }

    private static boolean beside(Block block, ModbusRegister next) {
        int offset = next.address() - block.first().address();
        return next.unit() == block.first().unit()
                && next.table() == block.first().table()
                && offset <= block.count()
                && offset + next.type().registers() <= MOST_REGISTERS;
    }

    @Override
    public String identify(Exchange exchange, String wanted) throws LineException {
        if (!wanted.isEmpty()) {
            return identity(exchange, wanted);
        }
        if (!blocks.isEmpty()) {
            String answer = ask(exchange, request(blocks.get(0)));
            if (answer.startsWith("?")) {
                throw new LineException(Kind.TIMEOUT, "an answer came with a wrong checksum: " + answer.substring(1));
            }
        }
        return "";
    }

    /** What the register of an identity holds, written like the identity that is wanted. */
    private String identity(Exchange exchange, String wanted) throws LineException {
        ModbusRegister.Content content = content(wanted);
        String register = content.registerText();
        Reading found = ask(exchange, new Question(register, Optional.empty(), Unit.ONE, 1.0, Optional.empty()));
        if (found.quality() == Quality.GARBLED) {
            throw new LineException(Kind.TIMEOUT, "an answer to \"" + register + "\" came garbled");
        }
        if (!found.good()) {
            return register + " = " + found.quality().text();
        }
        double number = Double.parseDouble(content.value());
        boolean same =
                found.value() == Reading.of(number, Unit.ONE, Quality.GOOD).value();
        return same ? wanted : register + " = " + Decimals.shortest(found.value(), 3);
    }

    private Reading ask(Exchange exchange, Question question) throws LineException {
        ModbusRegister register = register(question.text());
        Block block = new Block(register, register.type().registers(), List.of());
        return reading(block, question, register, ask(exchange, request(block)));
    }

    @Override
    public List<Reading> read(Exchange exchange) throws LineException {
        List<Reading> readings = new ArrayList<>(Collections.nCopies(questions.size(), Reading.none(Quality.MISSING)));
        for (Block block : blocks) {
            try {
                String answer = ask(exchange, request(block));
                block.questions()
                        .forEach(i -> readings.set(i, reading(block, questions.get(i), registers.get(i), answer)));
            } catch (LineException e) {
                if (e.kind() != Kind.TIMEOUT) {
                    throw e;
                }
            }
        }
        return readings;
    }

    private String ask(Exchange exchange, String request) throws LineException {
        Deadline.afterMillis(gapMillis).await();
        return exchange.ask(request);
    }

    private static String request(Block block) {
        ByteBuffer message = ByteBuffer.allocate(6).put((byte) block.first().unit());
        int address = block.first().address();
        if (block.first().table() == Table.INPUT) {
            ReadInputRegistersRequest.Serializer.encode(new ReadInputRegistersRequest(address, block.count()), message);
        } else {
            ReadHoldingRegistersRequest.Serializer.encode(
                    new ReadHoldingRegistersRequest(address, block.count()), message);
        }
        return HEX.formatHex(message.array());
    }

    private static Reading reading(Block block, Question question, ModbusRegister register, String answer) {
        int function = block.first().table() == Table.INPUT ? 0x04 : 0x03;
        Optional<ByteBuffer> message = message(answer, block.first().unit());
        if (message.isEmpty()) {
            return Reading.none(Quality.GARBLED);
        }
        ByteBuffer bytes = message.get();
        int found = bytes.get() & 0xff;
        if (found == (function | EXCEPTION)) {
            return Reading.none(Quality.DEVICE_FAULT);
        }
        if (found != function || (bytes.get() & 0xff) != 2 * block.count() || bytes.remaining() != 2 * block.count()) {
            return Reading.none(Quality.GARBLED);
        }
        int offset = bytes.position() + 2 * (register.address() - block.first().address());
        return question.reading(number(register, bytes, offset) * register.scale());
    }

    /** The message of an answer without its unit; empty if it is not whole, or another unit's. */
    private static Optional<ByteBuffer> message(String answer, int unit) {
        if (answer.startsWith("?")) {
            return Optional.empty();
        }
        ByteBuffer bytes = ByteBuffer.wrap(HEX.parseHex(answer));
        return (bytes.get() & 0xff) == unit && bytes.remaining() >= 2 ? Optional.of(bytes) : Optional.empty();
    }

    private static double number(ModbusRegister register, ByteBuffer bytes, int offset) {
        if (register.type().registers() == 1) {
            short word = bytes.getShort(offset);
            return register.type() == Type.INT16 ? word : word & 0xffff;
        }
        int both = bytes.getInt(offset);
        if (register.lowWordFirst()) {
            both = Integer.rotateLeft(both, 16);
        }
        return switch (register.type()) {
            case FLOAT32 -> Float.intBitsToFloat(both);
            case UINT32 -> both & 0xffff_ffffL;
            default -> both;
        };
    }

    @Override
    public SetResult set(Exchange exchange, Setting setting) throws LineException {
        ModbusRegister register = content(setting.command()).register();
        Optional<byte[]> bytes = bytes(register, setting.value() / register.scale());
        if (bytes.isEmpty()) {
            return setting.notDone("", setting.asked() + " does not fit into the register");
        }
        String request = request(register, bytes.get());
        Optional<ByteBuffer> message = message(ask(exchange, request), register.unit());
        if (message.isEmpty()) {
            return setting.notDone("", "the answer is garbled");
        }
        int function = message.get().get() & 0xff;
        if ((function & EXCEPTION) != 0) {
            return setting.notDone(
                    "", "the device refuses: " + exception(message.get().get() & 0xff));
        }
        // A device repeats unit, function and address of what it wrote (V1.1b3, 6.6 and 6.12).
        if (!HEX.formatHex(message.get().array()).startsWith(request.substring(0, 8))) {
            return setting.notDone("", "the answer belongs to another request");
        }
        if (setting.readback().isEmpty()) {
            return setting.sent();
        }
        return setting.compared(ask(exchange, setting.readback().get()));
    }

    private static ModbusRegister.Content content(String text) {
        return ModbusRegister.Content.parse(text)
                .orElseThrow(() -> new IllegalArgumentException("\"" + text + "\": "
                        + ModbusRegister.Content.fault(text)
                        + "; needed is for example \"unit 17 holding 40 uint16 scale 0.01 = {percent}\""));
    }

    private static String request(ModbusRegister register, byte[] bytes) {
        ByteBuffer message = ByteBuffer.allocate(16).put((byte) register.unit());
        if (bytes.length == 2) {
            int value = ByteBuffer.wrap(bytes).getShort() & 0xffff;
            WriteSingleRegisterRequest.Serializer.encode(
                    new WriteSingleRegisterRequest(register.address(), value), message);
        } else {
            WriteMultipleRegistersRequest.Serializer.encode(
                    new WriteMultipleRegistersRequest(register.address(), bytes.length / 2, bytes), message);
        }
        return HEX.formatHex(message.array(), 0, message.position());
    }

    /** A number as its registers hold it; empty if it does not fit. */
    private static Optional<byte[]> bytes(ModbusRegister register, double value) {
        if (register.type() == Type.FLOAT32) {
            return Optional.of(words(register, Float.floatToIntBits((float) value)));
        }
        double whole = StrictMath.rint(value);
        boolean signed = register.type() == Type.INT16 || register.type() == Type.INT32;
        double steps = register.type().registers() == 1 ? 0x1p16 : 0x1p32;
        double lowest = signed ? -steps / 2 : 0.0;
        if (!(whole >= lowest && whole < lowest + steps)) {
            return Optional.empty();
        }
        return Optional.of(words(register, (int) (long) whole));
    }

    private static byte[] words(ModbusRegister register, int value) {
        if (register.type().registers() == 1) {
            return ByteBuffer.allocate(2).putShort((short) value).array();
        }
        int ordered = register.lowWordFirst() ? Integer.rotateLeft(value, 16) : value;
        return ByteBuffer.allocate(4).putInt(ordered).array();
    }

    private static String exception(int code) {
        return "exception " + code
                + ExceptionCode.from(code)
                        .map(e -> ", " + e.name().toLowerCase(Locale.ROOT).replace('_', ' '))
                        .orElse("");
    }
}
