package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.Wants;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Tests of the Modbus dialect; messages marked so are published ones, see resources/reference/modbus. */
class ModbusDialectTest {

    private static Question question(String register, Unit unit) {
        return Question.of(BenchFiles.channel("c", "d", register, unit));
    }

    private static ModbusDialect dialect(Question... questions) {
        return new ModbusDialect(List.of(questions), List.of(), 115200);
    }

    private static ScriptedLine line(UnaryOperator<String> device) {
        return new ScriptedLine(request -> {
            String answer = device.apply(request);
            return answer.isEmpty() ? List.of() : List.of(answer);
        });
    }

    private static Exchange exchange(Line line) {
        return new Exchange(line, 300);
    }

    private static String value(String register, String answer) throws LineException {
        return dialect(question(register, Unit.VOLT))
                .read(exchange(line(request -> answer)))
                .get(0)
                .text();
    }

    /** Validation: application protocol V1.1b3, 6.3 (registers 108 to 110 hold 555, 0 and 100) and 6.4. */
    @Test
    void readsThePublishedRegisters() throws Exception {
        ModbusDialect dialect = dialect(
                question("unit 17 holding 109 uint16", Unit.VOLT),
                question("unit 17 input 8 int16", Unit.VOLT),
                question("unit 17 holding 107 uint16", Unit.VOLT),
                question("unit 17 holding 108 uint16", Unit.VOLT));
        ScriptedLine line = line(request -> request.startsWith("1103") ? "110306022b00000064" : "110402000a");
        assertEquals(
                List.of("100.000", "10.000", "555.000", "0.000"),
                dialect.read(exchange(line)).stream().map(Reading::text).toList());
        assertEquals(List.of("110400080001", "1103006b0003"), line.sent);
    }

    @ParameterizedTest
    @CsvSource({
        "int16, 0402ffff, -1.000",
        "uint16, 0402ffff, 65535.000",
        "int16 scale 0.1, 0402011d, 28.500",
        "int16 scale -0.5, 04020002, -1.000",
        "int32, 0404fffffffe, -2.000",
        "uint32, 0404fffffffe, 4294967294.000",
        "uint32 low-word-first, 040400010002, 131073.000",
        "float32, 040441e40000, 28.500",
        "float32 low-word-first, 0404000041e4, 28.500"
    })
    void readsEveryType(String type, String message, String text) throws Exception {
        assertEquals(text, value("unit 17 input 30 " + type, "11" + message));
    }

    @ParameterizedTest
    @CsvSource({
        "11047fc00000, garbled",
        "11047f800000, garbled",
        "1104047fc00000, device-fault",
        "1104047f800000, device-fault",
        "118402, device-fault",
        "118406, device-fault",
        "?11040441e40000ffff, garbled",
        "12040441e40000, garbled",
        "11030441e40000, garbled",
        "11040241e4, garbled",
        "11040441e4, garbled",
        "1104, garbled"
    })
    void aWrongAnswerIsNeverANumber(String answer, String quality) throws Exception {
        ModbusDialect dialect = dialect(question("unit 17 input 30 float32", Unit.VOLT));
        assertEquals(
                quality,
                dialect.read(exchange(line(request -> answer))).get(0).quality().text());
    }

    @Test
    void appliesRangesAndFaultValuesAsForText() throws Exception {
        Question question = Question.of(BenchFiles.channel(
                "t",
                "d",
                "unit 17 input 30 int16",
                "",
                Unit.CELSIUS,
                OptionalInt.empty(),
                Optional.of(new Range(5, 80))));
        assertEquals(
                Quality.OUT_OF_RANGE,
                dialect(question)
                        .read(exchange(line(request -> "1104020056")))
                        .get(0)
                        .quality());
        assertEquals(
                Quality.DEVICE_FAULT,
                dialect(question)
                        .read(exchange(line(request -> "110402ff81")))
                        .get(0)
                        .quality());
    }

    @Test
    void aMissingAnswerLeavesTheOthers() throws Exception {
        ModbusDialect dialect = dialect(
                question("unit 17 holding 1 uint16", Unit.VOLT), question("unit 17 input 30 uint16", Unit.VOLT));
        ScriptedLine line = line(request -> request.startsWith("1104") ? "1104020001" : "");
        assertEquals(
                List.of(Quality.MISSING, Quality.GOOD),
                dialect.read(exchange(line)).stream().map(Reading::quality).toList());
    }

    @Test
    void registersApartAreReadApartAndNeverMoreThanFit() throws Exception {
        Question[] many = new Question[130];
        for (int i = 0; i < many.length; i++) {
            many[i] = question("unit 1 input " + i + " uint16", Unit.VOLT);
        }
        ScriptedLine line = line(request -> "");
        dialect(many).read(exchange(line));
        assertEquals(List.of("01040000007d"), line.sent);
        line.sent.clear();
        ScriptedLine apart = line(request -> "1104020001");
        dialect(question("unit 17 input 1 uint16", Unit.VOLT), question("unit 17 input 3 uint16", Unit.VOLT))
                .read(exchange(apart));
        assertEquals(List.of("110400010001", "110400030001"), apart.sent);
    }

    /** Validation: application protocol V1.1b3, 6.6 and 6.12. */
    @Test
    void writesThePublishedRegisters() throws Exception {
        ScriptedLine line = line(request -> request.substring(0, 12));
        ModbusDialect dialect = dialect();
        SetResult one = dialect.set(exchange(line), Setting.of(actuator("unit 17 holding 1 uint16", ""), 3.0));
        SetResult two = dialect.set(
                exchange(line), Setting.of(actuator("unit 17 holding 1 uint32 scale 0.00001", ""), 6.55618));
        assertEquals(List.of("110600010003", "11100001000204000a0102"), List.of(line.sent.get(0), line.sent.get(1)));
        assertEquals(new SetResult("fan-duty", "3.00 %", true, "", ""), one);
        assertEquals(true, two.done());
    }

    private static ActuatorSpec actuator(String register, String readback) {
        return new ActuatorSpec(
                "fan-duty",
                "d",
                register + " = {percent}",
                readback.isEmpty() ? Optional.empty() : Optional.of(readback),
                100.0);
    }

    @Test
    void readsBackWhatItSet() throws Exception {
        ActuatorSpec fans = actuator("unit 17 holding 40 uint16 scale 0.01", "unit 17 holding 40 uint16 scale 0.01");
        ScriptedLine line = line(request -> request.startsWith("1106") ? request : "1103021770");
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "60.00 %", ""),
                dialect().set(exchange(line), Setting.of(fans, 60.0)));
        assertEquals(List.of("110600281770", "110300280001"), line.sent);
        assertEquals(
                "asked for 30.00 %, read back 60.00 %",
                dialect().set(exchange(line), Setting.of(fans, 30.0)).detail());
    }

    @ParameterizedTest
    @CsvSource({
        "118603, 'the device refuses: exception 3, illegal data value'",
        "1186ee, 'the device refuses: exception 238'",
        "110600291770, the answer belongs to another request",
        "?110600281770ffff, the answer is garbled",
        "120600281770, the answer is garbled"
    })
    void aRefusedOrGarbledCommandIsNotDone(String answer, String detail) throws Exception {
        ActuatorSpec fans = actuator("unit 17 holding 40 uint16 scale 0.01", "");
        assertEquals(
                new SetResult("fan-duty", "60.00 %", false, "", detail),
                dialect().set(exchange(line(request -> answer)), Setting.of(fans, 60.0)));
    }

    @ParameterizedTest
    @CsvSource({"uint16 scale 0.001, 70.00", "int16 scale 0.001, 40.00", "uint16 scale -1, 1.00"})
    void whatDoesNotFitIsNotSent(String type, double percent) throws Exception {
        ScriptedLine line = line(request -> request);
        SetResult result =
                dialect().set(exchange(line), Setting.of(actuator("unit 17 holding 40 " + type, ""), percent));
        assertEquals(result.asked() + " does not fit into the register", result.detail());
        assertEquals(List.of(), line.sent);
    }

    @Test
    void whatIsNoRegisterIsRefusedBeforeAnythingIsOpened() {
        assertEquals(
                "\"MEAS:TEMP? (@1)\": this is no Modbus register; needed is for example"
                        + " \"unit 17 input 30 int16 scale 0.1\"",
                assertThrows(IllegalArgumentException.class, () -> dialect(question("MEAS:TEMP? (@1)", Unit.VOLT)))
                        .getMessage());
        assertThrows(
                IllegalArgumentException.class, () -> new ModbusDialect(List.of(), List.of("FAN {percent}"), 9600));
    }

    @ParameterizedTest
    @CsvSource({
        "1103021267, unit 17 holding 0 uint16 = 4711",
        "1103021268, unit 17 holding 0 uint16 = 4712",
        "118302, unit 17 holding 0 uint16 = device-fault"
    })
    void anIdentityIsWhatARegisterHolds(String answer, String found) throws Exception {
        ScriptedLine line = line(request -> answer);
        assertEquals(found, dialect().identify(exchange(line), "unit 17 holding 0 uint16 = 4711"));
        assertEquals(List.of("110300000001"), line.sent);
    }

    @Test
    void aGarbledIdentityIsNobodysIdentity() {
        assertEquals(
                LineException.Kind.TIMEOUT,
                assertThrows(
                                LineException.class,
                                () -> dialect()
                                        .identify(
                                                exchange(line(request -> "?11030212")),
                                                "unit 17 holding 0 uint16 = 4711"))
                        .kind());
    }

    /** A device over a real pseudo-terminal, its frames those of the reference. */
    @Test
    void speaksOverALine() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        ModbusFraming framing = new ModbusFraming();
        try (Pty pty = Pty.open()) {
            DeviceSpec.Serial spec = BenchFiles.serial("d", pty.path(), DeviceSpec.Dialect.MODBUS, "");
            BenchFile file = BenchFiles.of(
                    List.of(spec),
                    List.of(BenchFiles.channel("volt", "d", "unit 17 input 8 int16", Unit.VOLT)),
                    List.of());
            Thread device = new Thread(() -> {
                for (byte[] bytes = pty.read(); bytes != null; bytes = pty.read()) {
                    pty.write(framing.framed("110402000a").getBytes(StandardCharsets.ISO_8859_1));
                }
            });
            device.setDaemon(true);
            device.start();
            try (SerialDevice opened = new SerialDevice(file, spec, Ports.of(spec))) {
                opened.open();
                assertEquals("10.000", opened.read(0).readings().get(0).text());
            }
        }
    }
}
