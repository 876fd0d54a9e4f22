package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.Device.DeviceReadings;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep.DeviceEvent;
import org.plateaubench.bench.Sweep.DeviceEvent.Kind;
import org.plateaubench.bench.serial.TestController.Fault;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Regression tests of serial devices on real pseudo-terminals, most of them in simulated time. */
@Timeout(30)
class SerialDeviceTest {

    @TempDir
    Path directory;

    private final Silence silence = new Silence();
    private final TestController controller = new TestController(TestController.IDENTITY);
    private final List<Pty> ptys = new ArrayList<>();
    private Path port;
    private SerialDevice device;

    @BeforeEach
    void plugIn() throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        port = directory.resolve("port");
        plug(controller);
        BenchFile file = TestController.file(port.toString());
        device = new SerialDevice(file, (DeviceSpec.Serial) file.devices().get(0), simulated(port.toString()));
    }

    @AfterEach
    void unplug() throws IOException {
        if (device != null) {
            device.close();
        }
        ptys.forEach(Pty::close);
        try (DirectoryStream<Path> links = Files.newDirectoryStream(directory)) {
            for (Path link : links) {
                Files.delete(link);
            }
        }
    }

    private Pty plug(TestController at) throws IOException {
        ptys.forEach(Pty::close);
        Pty pty = at.plug(Optional.of(silence));
        ptys.add(pty);
        Files.deleteIfExists(port);
        Files.createSymbolicLink(port, Path.of(pty.path()));
        return pty;
    }

    /** A port whose time is simulated. */
    private Ports simulated(String path) {
        return new Ports() {
            @Override
            public List<String> paths() {
                return List.of(path);
            }

            @Override
            public Line open(String only) throws LineException {
                return SerialLine.open(path, 115200, "\n", Optional.of(silence));
            }
        };
    }

    private static List<String> texts(DeviceReadings readings) {
        return readings.readings().stream().map(Reading::text).toList();
    }

    private static void assertAll(Quality quality, DeviceReadings readings) {
        assertEquals(
                List.of(quality, quality, quality),
                readings.readings().stream().map(Reading::quality).toList());
    }

    private static void assertGood(DeviceReadings readings) {
        assertEquals(List.of("22.100", "28.400", "100.00"), texts(readings));
        assertEquals(List.of(), readings.events());
    }

    @Test
    void isKnownByItsIdentityAndReadsAllItsColumnsInOneRoundTrip() throws Exception {
        assertEquals(new DeviceIdentity("controller", TestController.IDENTITY, port.toString()), device.open());
        controller.heard();
        assertGood(device.read(0));
        assertEquals(List.of(TestController.COMPOUND), controller.heard());
    }

    @Test
    void survivesAControllerThatResetsWhenItIsOpened() throws Exception {
        ptys.get(0).write("\u0000\u00f8Boot 2.1\nready\n>".getBytes(StandardCharsets.ISO_8859_1));
        controller.next(Fault.SILENT, Fault.HALF, Fault.GARBAGE, Fault.SILENT);
        device.open();
        assertGood(device.read(0));
    }

    @Test
    void anotherInstrumentIsRefusedAtOpeningAndClosedAgain() throws Exception {
        plug(new TestController("OTHER,PSU,1,2"));
        BenchException e = assertThrows(BenchException.class, device::open);
        assertEquals(
                "device controller: " + port + " answers \"OTHER,PSU,1,2\", needed is \"" + TestController.IDENTITY
                        + "\". Nothing was set on it.",
                e.getMessage());
        simulated(port.toString()).open(port.toString()).close();
    }

    @Test
    void oneThatNeverAnswersIsRefusedAtOpening() {
        controller.next(Collections.nCopies(100, Fault.SILENT).toArray(Fault[]::new));
        BenchException e = assertThrows(BenchException.class, device::open);
        assertEquals(
                "device controller: simulated"
                        + " gave no whole answer to \"*IDN?\" within 300 ms. Nothing was set on it.",
                e.getMessage());
    }

    @Test
    void aMissingPortIsNamedAtOpening() throws Exception {
        Files.delete(port);
        BenchException e = assertThrows(BenchException.class, device::open);
        assertEquals(
                "device controller: there is no port " + port
                        + "; plug the device in and switch it on. Nothing was set on it.",
                e.getMessage());
    }

    @Test
    void aMissingAnswerIsMissingAndTheLateOneIsNeverTakenForTheNext() throws Exception {
        device.open();
        controller.next(Fault.LATE);
        DeviceReadings missing = device.read(0);
        assertAll(Quality.MISSING, missing);
        assertEquals(300_000_000L, missing.busyNanos());
        controller.temperatures("22.2;35.9");
        DeviceReadings next = device.read(1);
        assertEquals(List.of("22.200", "35.900", "100.00"), texts(next));
        assertEquals(List.of(), next.events());
    }

    @Test
    void halfAnAnswerIsMissingAndNeverGetsIntoTheNext() throws Exception {
        device.open();
        for (int tick = 0; tick < 50; tick += 2) {
            controller.next(Fault.HALF);
            assertAll(Quality.MISSING, device.read(tick));
            assertGood(device.read(tick + 1));
        }
    }

    @Test
    void garbageIsGarbledAndTheIdentityIsAskedBeforeTheNextNumberIsBelieved() throws Exception {
        device.open();
        controller.next(Fault.GARBAGE);
        assertAll(Quality.GARBLED, device.read(0));
        controller.heard();
        assertGood(device.read(1));
        assertEquals(List.of("*IDN?", "SYST:ERR?", TestController.COMPOUND_AND_FIRST), controller.heard());
        device.read(2);
        assertEquals(List.of(TestController.COMPOUND), controller.heard());
    }

    @Test
    void aPlugPulledInTheMiddleIsGoneAndBackUnderAnotherName() throws Exception {
        device.open();
        for (int replug = 0; replug < 100; replug++) {
            controller.next(Fault.UNPLUG);
            DeviceReadings gone = device.read(3 * replug);
            assertAll(Quality.GONE, gone);
            assertEquals(
                    List.of(new DeviceEvent("controller", Kind.GONE, "simulated hung up: unplugged, or closed")),
                    gone.events());
            plug(controller);
            DeviceReadings back = device.read(3 * replug + 1);
            assertEquals(List.of("22.100", "28.400", "100.00"), texts(back));
            assertEquals(
                    List.of(new DeviceEvent("controller", Kind.BACK, port + " " + TestController.IDENTITY)),
                    back.events());
            assertGood(device.read(3 * replug + 2));
        }
    }

    @Test
    void whileItIsGoneEachTickTriesOnceAndSaysNothingNew() throws Exception {
        device.open();
        controller.next(Fault.UNPLUG);
        device.read(0);
        Files.delete(port);
        for (int tick = 1; tick < 10; tick++) {
            DeviceReadings gone = device.read(tick);
            assertAll(Quality.GONE, gone);
            assertEquals(List.of(), gone.events());
        }
        plug(controller);
        assertEquals(Kind.BACK, device.read(10).events().get(0).kind());
    }

    @Test
    void aControllerThatIsStillBootingKeepsItsPortOpen() throws Exception {
        device.open();
        controller.next(Fault.UNPLUG);
        device.read(0);
        plug(controller);
        controller.next(Fault.SILENT, Fault.SILENT, Fault.SILENT, Fault.SILENT);
        for (int tick = 1; tick <= 4; tick++) {
            assertAll(Quality.GONE, device.read(tick));
        }
        DeviceReadings back = device.read(5);
        assertEquals(List.of("22.100", "28.400", "100.00"), texts(back));
        assertEquals(Kind.BACK, back.events().get(0).kind());
    }

    @Test
    void anotherInstrumentAtItsPortIsReportedOnceAndNeverRead() throws Exception {
        device.open();
        controller.next(Fault.UNPLUG);
        device.read(0);
        TestController other = new TestController("OTHER,PSU,1,2");
        plug(other);
        DeviceReadings stranger = device.read(1);
        assertAll(Quality.GONE, stranger);
        assertEquals(
                List.of(new DeviceEvent(
                        "controller",
                        Kind.OTHER_IDENTITY,
                        port + " answers \"OTHER,PSU,1,2\", needed is \"" + TestController.IDENTITY + "\"")),
                stranger.events());
        assertEquals(List.of(), device.read(2).events());
        assertEquals(false, device.set(TestController.FANS, 60.0).done());
        assertTrue(other.heard().stream().allMatch(r -> r.equals("*IDN?") || r.equals("SYST:ERR?")));
        plug(controller);
        assertEquals(Kind.BACK, device.read(3).events().get(0).kind());
    }

    @Test
    void silenceInSuccessionIsALostLineAndOpeningItAgainCuresIt() throws Exception {
        device.open();
        controller.next(Fault.SILENT, Fault.SILENT, Fault.SILENT);
        assertAll(Quality.MISSING, device.read(0));
        assertAll(Quality.MISSING, device.read(1));
        DeviceReadings lost = device.read(2);
        assertAll(Quality.GONE, lost);
        assertEquals(
                List.of(new DeviceEvent("controller", Kind.GONE, port + " gave no answer to 3 requests in succession")),
                lost.events());
        assertEquals(Kind.BACK, device.read(3).events().get(0).kind());
        assertGood(device.read(4));
    }

    @Test
    void aBrownOutShowsInTheReadback() throws Exception {
        device.open();
        assertEquals(new SetResult("fan-duty", "60.00 %", true, "60.00 %", ""), device.set(TestController.FANS, 60.0));
        assertEquals("60.00", texts(device.read(0)).get(2));
        controller.brownOut();
        assertEquals("100.00", texts(device.read(1)).get(2));
    }

    @Test
    void aStartThatNothingElseShowsIsSeenByTheBootCount() throws Exception {
        int[] boots = {7};
        Pty counting = Pty.open(silence);
        ptys.add(counting);
        counting.serve(request -> Pty.line(
                switch (request) {
                    case "*IDN?" -> TestController.IDENTITY;
                    case "SYST:ERR?" -> "0,\"No error\"";
                    case "MEAS:TEMP?;:SYST:BOOT?" -> "22.1;" + boots[0];
                    case "MEAS:TEMP?;:SYST:BOOT?;:MEAS:TEMP?" -> "22.1;" + boots[0] + ";22.1";
                    default -> "?";
                }));
        DeviceSpec.Serial spec = new DeviceSpec.Serial(
                "controller",
                counting.path(),
                115200,
                DeviceSpec.Parity.NONE,
                1,
                DeviceSpec.Dialect.SCPI,
                "\n",
                Optional.empty(),
                false,
                Optional.of(TestController.IDENTITY),
                Optional.of("SYST:BOOT?"),
                300,
                OptionalDouble.empty());
        BenchFile file = BenchFiles.of(
                List.of(spec),
                List.of(BenchFiles.channel("ambient", "controller", "MEAS:TEMP?", Unit.CELSIUS)),
                List.of());
        try (SerialDevice counted = new SerialDevice(file, spec, simulated(counting.path()))) {
            counted.open();
            assertEquals(List.of("22.100"), texts(counted.read(0)));
            assertEquals(List.of(), counted.read(1).events());
            boots[0]++;
            assertEquals(
                    List.of(new DeviceEvent("controller", Kind.RESTARTED, "was started again: boot count 8, before 7")),
                    counted.read(2).events());
            assertEquals(List.of(), counted.read(3).events());
        }
    }

    @Test
    void anInstrumentThatHasFallenOneAnswerBehindIsFoundOutAtOnce() throws Exception {
        byte[][] before = {new byte[0]};
        boolean[] behind = {false};
        Pty slow = Pty.open(silence);
        ptys.add(slow);
        slow.serve(request -> {
            byte[] answer = controller.answer(request);
            byte[] sent = behind[0] ? before[0] : answer;
            before[0] = answer;
            return sent;
        });
        BenchFile file = TestController.file(slow.path());
        DeviceSpec.Serial spec = (DeviceSpec.Serial) file.devices().get(0);
        try (SerialDevice late = new SerialDevice(file, spec, simulated(slow.path()))) {
            late.open();
            assertGood(late.read(0));
            assertGood(late.read(1));
            behind[0] = true;
            assertAll(Quality.GARBLED, late.read(2));
        }
    }

    @Test
    void aCommandIsSentEvenIfTheAnswerBeforeItIsMissing() throws Exception {
        device.open();
        device.set(TestController.FANS, 60.0);
        // No answer to the tick; none to the identity; the command is heard, its readback is not.
        controller.next(Fault.SILENT, Fault.SILENT, Fault.NONE, Fault.SILENT);
        device.read(0);
        SetResult result = device.set(TestController.FANS, 100.0);
        assertEquals("100.00", controller.duty());
        assertEquals(
                new SetResult(
                        "fan-duty",
                        "100.00 %",
                        false,
                        "",
                        // Sending the command took the first two of 300 ms.
                        "simulated gave no whole answer to \"SOUR1:PULS:DCYC?\" within 298 ms"),
                result);
        assertEquals(true, device.set(TestController.FANS, 100.0).done());
    }

    @Test
    void settingADeviceThatIsGoneSaysSo() throws Exception {
        device.open();
        controller.next(Fault.UNPLUG);
        SetResult result = device.set(TestController.FANS, 60.0);
        assertEquals(false, result.done());
        assertEquals(Kind.GONE, device.read(0).events().get(0).kind());
        Files.delete(port);
        assertEquals(
                "there is no port " + port + "; plug the device in and switch it on",
                device.set(TestController.FANS, 60.0).detail());
    }

    @Test
    void theSameFaultsTwiceTakeTheSameSimulatedTime() throws Exception {
        List<DeviceReadings> first = nightOfFaults();
        List<DeviceReadings> second = nightOfFaults();
        assertEquals(first, second);
        assertTrue(first.stream().anyMatch(r -> r.busyNanos() == 300_000_000L));
    }

    private List<DeviceReadings> nightOfFaults() throws Exception {
        device.close();
        plug(controller);
        BenchFile file = TestController.file(port.toString());
        device = new SerialDevice(file, (DeviceSpec.Serial) file.devices().get(0), simulated(port.toString()));
        device.open();
        List<DeviceReadings> readings = new ArrayList<>();
        Fault[] faults = {Fault.HALF, Fault.LATE, Fault.GARBAGE, Fault.SILENT, Fault.UNPLUG};
        for (int tick = 0; tick < 200; tick++) {
            controller.next(faults[tick % faults.length]);
            readings.add(device.read(tick));
            if (faults[tick % faults.length] == Fault.UNPLUG) {
                plug(controller);
            }
            readings.add(device.read(tick));
        }
        return readings;
    }

    @Test
    void twinAdaptersAreToldApartByAsking() throws Exception {
        Path a = directory.resolve("adapter-0");
        Path b = directory.resolve("adapter-1");
        TestController twin = new TestController("EXAMPLE,FANCTL-2,0043,1.3");
        Pty first = twin.plug(Optional.empty());
        Pty second = controller.plug(Optional.empty());
        ptys.addAll(List.of(first, second));
        Files.createSymbolicLink(a, Path.of(first.path()));
        Files.createSymbolicLink(b, Path.of(second.path()));
        BenchFile file = TestController.file(directory.resolve("adapter-*").toString());
        DeviceSpec.Serial spec = (DeviceSpec.Serial) file.devices().get(0);
        SerialDevice real = new SerialDevice(file, spec, Ports.of(spec));
        try (real) {
            assertEquals(b.toString(), real.open().where());
            assertGood(real.read(0));
            // Both are pulled, and come back with their names changed over.
            first.close();
            second.close();
            assertAll(Quality.GONE, real.read(1));
            Files.delete(a);
            Files.delete(b);
            Pty third = twin.plug(Optional.empty());
            Pty fourth = controller.plug(Optional.empty());
            ptys.addAll(List.of(third, fourth));
            Files.createSymbolicLink(b, Path.of(third.path()));
            Files.createSymbolicLink(a, Path.of(fourth.path()));
            assertEquals(Kind.OTHER_IDENTITY, real.read(2).events().get(0).kind());
            DeviceReadings back = real.read(3);
            assertEquals(
                    List.of(new DeviceEvent("controller", Kind.BACK, a + " " + TestController.IDENTITY)),
                    back.events());
            assertEquals(List.of("22.100", "28.400", "100.00"), texts(back));
        }
    }

    @Test
    void aPatternThatNothingFitsIsNamed() throws Exception {
        BenchFile file = TestController.file(
                directory.resolve("absent").resolve("adapter-*").toString());
        DeviceSpec.Serial spec = (DeviceSpec.Serial) file.devices().get(0);
        SerialDevice real = new SerialDevice(file, spec, Ports.of(spec));
        assertEquals(
                "device controller: there is no port " + spec.port()
                        + "; plug the device in and switch it on. Nothing was set on it.",
                assertThrows(BenchException.class, real::open).getMessage());
    }

    @Test
    void inRealTimeASilentTickTakesItsTimeoutAndLittleMore() throws Exception {
        ptys.add(controller.plug(Optional.empty()));
        BenchFile file = TestController.file(ptys.get(ptys.size() - 1).path());
        DeviceSpec.Serial spec = (DeviceSpec.Serial) file.devices().get(0);
        SystemClock clock = new SystemClock();
        try (SerialDevice real = new SerialDevice(file, spec, Ports.of(spec))) {
            real.open();
            controller.next(Fault.SILENT);
            long began = clock.nanos();
            DeviceReadings missing = real.read(0);
            long millis = (clock.nanos() - began) / 1_000_000;
            assertAll(Quality.MISSING, missing);
            assertTrue(millis >= 300 && millis < 600, millis + " ms");
            assertTrue(missing.busyNanos() >= 300_000_000L);
            assertGood(real.read(1));
        }
    }

    @Test
    void afterClosingNothingIsOpenedAgain() throws Exception {
        device.open();
        device.close();
        assertAll(Quality.GONE, device.read(0));
        assertAll(Quality.GONE, device.read(1));
        controller.heard();
        assertAll(Quality.GONE, device.read(2));
        assertEquals(List.of(), controller.heard());
    }
}
