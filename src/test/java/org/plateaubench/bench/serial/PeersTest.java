package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Wants;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.problem.SourceText;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;

/**
 * Instruments that this project did not write, on real pseudo-terminals and in real time, each described by a bench file: a
 * Modbus RTU slave of the library libmodbus, and a SCPI and a text instrument in Python.
 */
@Timeout(60)
class PeersTest {

    private static final Path PEERS = Path.of("src/test/peers");

    @TempDir
    Path folder;

    /** A peer that runs until it is closed, with the ports that it printed. */
    private record Peer(Process process, List<String> ports) implements AutoCloseable {

        static Peer start(int ports, String... command) throws Exception {
            Process process = new ProcessBuilder(command)
                    .redirectError(ProcessBuilder.Redirect.INHERIT)
                    .start();
            BufferedReader out = process.inputReader(StandardCharsets.US_ASCII);
            List<String> paths = new ArrayList<>();
            for (int i = 0; i < ports; i++) {
                String path = out.readLine();
                assertTrue(path != null && path.startsWith("/dev/"), "the peer printed " + path);
                paths.add(path);
            }
            return new Peer(process, paths);
        }

        @Override
        public void close() throws IOException {
            process.getOutputStream().close();
            try {
                process.waitFor(5, TimeUnit.SECONDS);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            process.destroyForcibly();
        }
    }

    private static BenchFile file(String devices, String channels, String fans, String pump) {
        String yaml = """
                bench: peers
                devices:
                %s
                channels:
                %s
                groups: { fans: [fan-1] }
                actuators:
                  fan-duty: %s
                  pump-duty: %s
                limits:
                  - { channel: coolant, above: 55 °C, for: 3 s }
                """.formatted(
                        devices.indent(2).stripTrailing(), channels.indent(2).stripTrailing(), fans, pump);
        var parsed = BenchFileReader.read(new SourceText("peers.yaml", yaml.getBytes(StandardCharsets.UTF_8)));
        return parsed.value()
                .orElseThrow(() -> new AssertionError(parsed.problems().toString()));
    }

    private static SerialDevice device(BenchFile file) {
        DeviceSpec.Serial spec = (DeviceSpec.Serial) file.devices().get(0);
        return new SerialDevice(file, spec, Ports.of(spec));
    }

    private static List<String> read(SerialDevice device, long tick) {
        return device.read(tick).readings().stream().map(PeersTest::shown).toList();
    }

    private static String shown(Reading reading) {
        return reading.good() ? reading.text() : reading.quality().text();
    }

    // ---- Modbus

    private Peer modbusSlave() throws Exception {
        Wants.program("cc");
        Wants.that(Files.exists(Path.of("/usr/include/modbus/modbus.h")), "libmodbus with its header (libmodbus-dev)");
        Path program = folder.resolve("modbus_slave");
        Process compiler = new ProcessBuilder(
                        "cc",
                        "-I/usr/include/modbus",
                        "-o",
                        program.toString(),
                        PEERS.resolve("modbus_slave.c").toString(),
                        "-lmodbus")
                .redirectErrorStream(true)
                .start();
        String said = new String(compiler.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertEquals(0, compiler.waitFor(), said);
        return Peer.start(1, program.toString());
    }

    private static BenchFile modbusFile(String port, String serial) {
        return file(
                "slave: { port: " + port + ", baud: 19200, dialect: modbus, identity: \"unit 17 holding 0 uint16 = "
                        + serial + "\", timeout: 1 s }",
                """
                ambient: { device: slave, ask: "unit 17 input 33 float32", unit: °C }
                coolant: { device: slave, ask: "unit 17 input 30 int16 scale 0.1", unit: °C }
                counter: { device: slave, ask: "unit 17 input 31 uint32", unit: V }
                absent: { device: slave, ask: "unit 17 input 60 int16", unit: °C }
                fan-1: { device: slave, ask: "unit 17 input 30 uint16", tachometer: 2 per revolution }
                pump: { device: slave, ask: "unit 17 input 30 uint16", tachometer: 2 per revolution }
                """,
                "{ device: slave, set: \"unit 17 holding 40 uint16 scale 0.01 = {percent}\","
                        + " readback: \"unit 17 holding 40 uint16 scale 0.01\", safe: 100 % }",
                "{ device: slave, set: \"unit 17 holding 41 float32 = {percent}\","
                        + " readback: \"unit 17 holding 41 float32\", safe: 100 % }");
    }

    @Test
    void aModbusSlaveOfLibmodbusIsReadAndSet() throws Exception {
        try (Peer slave = modbusSlave()) {
            BenchFile file = modbusFile(slave.ports().get(0), "4711");
            try (SerialDevice device = device(file)) {
                DeviceIdentity identity = device.open();
                assertEquals("unit 17 holding 0 uint16 = 4711", identity.identity());
                assertEquals(
                        List.of("22.250", "28.500", "131073.000", "device-fault", "8550.0", "8550.0", "100.00", "0.00"),
                        read(device, 0));
                assertEquals(
                        new SetResult("fan-duty", "62.50 %", true, "62.50 %", ""),
                        device.set(file.actuator("fan-duty").orElseThrow(), 62.5));
                assertEquals(
                        new SetResult("pump-duty", "33.33 %", true, "33.33 %", ""),
                        device.set(file.actuator("pump-duty").orElseThrow(), 33.33));
                List<String> after = read(device, 1);
                assertEquals(List.of("62.50", "33.33"), after.subList(6, 8));
                for (int tick = 2; tick < 100; tick++) {
                    assertEquals(after, read(device, tick));
                }
            }
        }
    }

    @Test
    void aPortSearchFindsTheUnitsThatAnswer() throws Exception {
        Wants.program("python3");
        String script = PEERS.resolve("worked_benches.py").toString();
        try (Peer slave = modbusSlave();
                Peer twoUnits = Peer.start(2, "python3", script, "modbus")) {
            List<PortSearch.Found> found = PortSearch.askModbus(
                    List.of(
                            new PortSearch.Port(slave.ports().get(0), ""),
                            new PortSearch.Port(twoUnits.ports().get(1), "")),
                    List.of(19_200),
                    List.of(16, 17, 3));
            assertEquals(
                    List.of("Modbus, parity even, unit 17", "Modbus, parity even, unit 17, 3"),
                    found.stream().map(PortSearch.Found::answer).toList());
        }
    }

    @Test
    void aSlaveWithAnotherNumberIsRefused() throws Exception {
        try (Peer slave = modbusSlave()) {
            try (SerialDevice device = device(modbusFile(slave.ports().get(0), "4712"))) {
                device.open();
                throw new AssertionError("the wrong slave was taken");
            } catch (BenchException e) {
                assertTrue(
                        e.getMessage()
                                .contains("answers \"unit 17 holding 0 uint16 = 4711\", needed is"
                                        + " \"unit 17 holding 0 uint16 = 4712\""),
                        e.getMessage());
            }
        }
    }

    // ---- worked bench files

    /** A worked bench file with the ports of a peer in the place of its own, in order. */
    private static BenchFile worked(String name, List<String> ports) throws Exception {
        String yaml = Files.readString(Path.of("hardware-notes/benches", name + "-loop.yaml"));
        Iterator<String> next = ports.iterator();
        String connected =
                Pattern.compile("port: (?:\"[^\"]*\"|[^ ,]+)").matcher(yaml).replaceAll(m -> "port: " + next.next());
        var parsed = BenchFileReader.read(new SourceText(name, connected.getBytes(StandardCharsets.UTF_8)));
        return parsed.value()
                .orElseThrow(() -> new AssertionError(parsed.problems().toString()));
    }

    private static Map<String, String> sweep(Bench bench, long tick) {
        List<Reading> readings = bench.read(tick).readings();
        Map<String, String> shown = new TreeMap<>();
        for (int i = 0; i < readings.size(); i++) {
            shown.put(bench.file().columns().get(i).name(), shown(readings.get(i)));
        }
        return shown;
    }

    @ParameterizedTest
    @ValueSource(strings = {"text", "modbus"})
    void aWorkedBenchFileDrivesTheInstrumentsThatItDescribes(String name) throws Exception {
        Wants.program("python3");
        boolean text = name.equals("text");
        String script = PEERS.resolve("worked_benches.py").toString();
        try (Peer peer = Peer.start(text ? 3 : 2, "python3", script, name);
                Bench bench = Benches.real(worked(name, peer.ports()), () -> folder, c -> {
                    throw new AssertionError("no computer in this bench");
                })) {
            bench.open();
            assertTrue(bench.set("fan-duty", 60.0).done());
            assertTrue(bench.set("pump-duty", 80.0).done());
            Map<String, String> expected = new TreeMap<>(Map.of(
                    "ambient", "22.000",
                    "coolant", "31.500",
                    "fan-1", "1200.0",
                    "pump", "2400.0",
                    "fan-duty", "60.00",
                    "pump-duty", "80.00"));
            if (text) {
                expected.put("fan-2", "1200.0");
                expected.put("level", "24.70");
            } else {
                assertTrue(bench.heatOn(new HeatDemand.Power(150.5)).done());
                expected.put("power", "150.50");
                expected.put("supply", "150.50");
            }
            for (int tick = 0; tick < 20; tick++) {
                assertEquals(expected, sweep(bench, tick));
            }
            assertTrue(bench.makeSafe(false).stream().allMatch(SetResult::done));
            assertEquals("100.00", sweep(bench, 20).get("fan-duty"));
        }
    }

    // ---- Python

    private static Peer python() throws Exception {
        Wants.program("python3");
        return Peer.start(2, "python3", PEERS.resolve("instruments.py").toString());
    }

    @Test
    void aScpiInstrumentInPythonIsReadAndSet() throws Exception {
        try (Peer peer = python()) {
            BenchFile file = file(
                    "controller: { port: " + peer.ports().get(0)
                            + ", baud: 115200, dialect: scpi, identity: \"PYTHON,FAN CONTROLLER,3,1.0\", timeout: 1 s }",
                    """
                    ambient: { device: controller, ask: "MEAS:TEMP? (@1)", unit: °C }
                    coolant: { device: controller, ask: "MEAS:TEMP? (@2)", unit: °C }
                    fan-1: { device: controller, ask: "MEAS:FREQ? (@11)", tachometer: 2 per revolution }
                    pump: { device: controller, ask: "MEAS:FREQ? (@11)", tachometer: 2 per revolution }
                    """,
                    "{ device: controller, set: \"SOUR:DCYC {percent}\", readback: \"SOUR:DCYC?\", safe: 100 % }",
                    "{ device: controller, set: \"SOUR:NONE {percent}\", safe: 100 % }");
            try (SerialDevice device = device(file)) {
                device.open();
                assertEquals(List.of("22.125", "device-fault", "1800.0", "1800.0", "100.00"), read(device, 0));
                assertTrue(device.set(file.actuator("fan-duty").orElseThrow(), 50.0)
                        .done());
                assertEquals(List.of("22.125", "device-fault", "900.0", "900.0", "50.00"), read(device, 1));
                SetResult undefined = device.set(file.actuator("pump-duty").orElseThrow(), 50.0);
                assertFalse(undefined.done());
                assertEquals("the instrument reports -113,\"Undefined header\"", undefined.detail());
                for (int tick = 2; tick < 100; tick++) {
                    assertEquals("900.0", read(device, tick).get(2));
                }
            }
        }
    }

    @Test
    void aTextInstrumentInPythonIsReadAndSetWithChecksums() throws Exception {
        try (Peer peer = python()) {
            BenchFile file = file(
                    "probes: { port: " + peer.ports().get(1)
                            + ", baud: 9600, dialect: text, line-end: cr, checksum: xor, identity: \"PROBES 7\","
                            + " boot-count: \"B?\", timeout: 1 s }",
                    """
                    ambient: { device: probes, ask: "T?", match: "T1= *([-0-9.,]+) C", unit: °C }
                    coolant: { device: probes, ask: "T?", match: "T2= *([-0-9.]+) C", unit: °C }
                    fan-1: { device: probes, ask: "B?", tachometer: 2 per revolution }
                    pump: { device: probes, ask: "B?", tachometer: 2 per revolution }
                    """,
                    "{ device: probes, set: \"F={percent}\", readback: \"F?\", match: \"^FAN ([0-9]+) OF 255$\","
                            + " full-scale: 255, safe: 100 % }",
                    "{ device: probes, set: \"F={percent}\", full-scale: 255, safe: 100 % }");
            try (SerialDevice device = device(file)) {
                device.open();
                // The first probe's decimal comma makes no number of it.
                assertEquals(List.of("garbled", "-3.250", "120.0", "120.0", "100.00"), read(device, 0));
                assertEquals(
                        new SetResult("fan-duty", "40.00 %", true, "40.00 %", ""),
                        device.set(file.actuator("fan-duty").orElseThrow(), 40.0));
                assertEquals("40.00", read(device, 1).get(4));
                assertEquals(Quality.GARBLED, device.read(2).readings().get(0).quality());
                assertEquals(List.of(), device.read(3).events());
            }
        }
    }
}
