package org.plateaubench.bench.computer;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.bench.BenchException;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/**
 * Regression: ways in which sensors of computers have misled programs, each with a tree of files of its own. Units and
 * file names are those of the kernel's document hwmon/sysfs-interface.rst.
 */
class ComputerSensorsTest {

    private static final String CORETEMP = "platform/coretemp.0";
    private static final String DRIVE_ONE = "pci0000:00/0000:00:01.1/0000:01:00.0/nvme/nvme0";
    private static final String DRIVE_TWO = "pci0000:00/0000:00:01.2/0000:02:00.0/nvme/nvme1";

    @TempDir
    Path root;

    private FakeComputer computer;
    private ComputerDevice device;

    @BeforeEach
    void emptyComputer() throws IOException {
        computer = new FakeComputer(root.toRealPath());
    }

    @AfterEach
    void closeDevice() {
        if (device != null) {
            device.close();
        }
    }

    @Test
    void aSensorIsFoundByChipAndLabelAndReadInItsUnit() throws BenchException {
        computer.chip(0, "platform/nct", "nct6799", "in1_input", "1008", "in1_label", "AVCC", "fan2_input", "0")
                .chip(1, CORETEMP, "coretemp", "temp1_input", "45000", "temp1_label", "Package id 0")
                .chip(2, "platform/psu", "psu", "power1_average", "12340000", "power1_label", "total")
                .sensor("cpu", "coretemp/Package id 0", Unit.CELSIUS)
                .sensor("supply", "nct6799/AVCC", Unit.VOLT)
                .sensor("case-fan", "nct6799/fan2", Unit.RPM)
                .sensor("power", "psu/total", Unit.WATT);
        open();

        assertEquals(List.of("45.000", "1.008", "0.0", "12.34"), texts());
    }

    @Test
    void aProbeThatBecameTheFirstChipIsNotTakenForTheProcessor() throws BenchException {
        computer.chip(0, "w1_bus_master1/28-0000", "w1_slave_temp", "temp1_input", "23812")
                .chip(1, CORETEMP, "coretemp", "temp1_input", "61000", "temp1_label", "Package id 0")
                .sensor("cpu", "coretemp/Package id 0", Unit.CELSIUS)
                .sensor("probe", "w1_slave_temp/temp1", Unit.CELSIUS);
        open();

        assertEquals(List.of("61.000", "23.812"), texts());
    }

    @Test
    void chipsThatAreRenumberedWhileRunningKeepTheirSensors() throws BenchException {
        computer.chip(0, "platform/other", "acpitz", "temp1_input", "20000")
                .chip(1, CORETEMP, "coretemp", "temp1_input", "61000", "temp1_label", "Package id 0")
                .sensor("cpu", "coretemp/Package id 0", Unit.CELSIUS);
        open();
        assertEquals(List.of("61.000"), texts());

        computer.remove(0).remove(1);
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());

        computer.chip(0, CORETEMP, "coretemp", "temp1_input", "62000", "temp1_label", "Package id 0")
                .chip(1, "platform/other", "acpitz", "temp1_input", "20000");
        assertEquals(List.of("62.000"), texts());
    }

    @Test
    void aSensorThatIsRelabelledInPlaceIsNoLongerTheOne() throws BenchException {
        computer.chip(1, CORETEMP, "coretemp", "temp1_input", "61000", "temp1_label", "Package id 0")
                .sensor("cpu", "coretemp/Package id 0", Unit.CELSIUS);
        open();
        computer.file("sys/devices/" + CORETEMP + "/hwmon/hwmon1/temp1_label", "Core 0");

        assertEquals(List.of(Reading.none(Quality.MISSING)), read());
    }

    @Test
    void anotherDeviceOfTheSameNameIsNotTakenForTheOneThatWentAway() throws BenchException {
        computer.chip(3, DRIVE_ONE, "nvme", "temp1_input", "41850", "temp1_label", "Composite")
                .sensor("drive", "nvme/Composite", Unit.CELSIUS);
        open();
        computer.remove(3).chip(3, DRIVE_TWO, "nvme", "temp1_input", "55850", "temp1_label", "Composite");

        assertEquals(List.of(Reading.none(Quality.MISSING)), read());
    }

    @Test
    void aNameThatSeveralSensorsHaveIsRefusedWithNamesThatTellThemApart() throws BenchException {
        computer.chip(3, DRIVE_ONE, "nvme", "temp1_input", "41850", "temp1_label", "Composite")
                .chip(4, DRIVE_TWO, "nvme", "temp1_input", "55850", "temp1_label", "Composite")
                .sensor("drive", "nvme/Composite", Unit.CELSIUS);

        assertEquals(
                "device host: this computer does not offer what the bench file asks of it\n"
                        + "  channel drive: 'nvme/Composite' may be any of 2 sensors; name one of"
                        + " 'nvme@0000:00:01.1/Composite', 'nvme@0000:00:01.2/Composite'",
                assertThrows(BenchException.class, this::open).getMessage());

        computer = new FakeComputer(computer.root()).sensor("drive", "nvme@0000:02:00.0/Composite", Unit.CELSIUS);
        open();
        assertEquals(List.of("55.850"), texts());
    }

    @Test
    void everyMissingSensorIsNamedWithTheNearestThatAreThere() {
        computer.chip(
                        1,
                        CORETEMP,
                        "coretemp",
                        "temp1_input",
                        "61000",
                        "temp1_label",
                        "Package id 0",
                        "temp2_input",
                        "60000",
                        "temp2_label",
                        "Core 0",
                        "temp3_input",
                        "60000",
                        "temp3_label",
                        "Core 1")
                .chip(2, "platform/a", "acpitz", "temp1_input", "20000")
                .sensor("cpu", "coretemp/package id 0", Unit.CELSIUS)
                .sensor("fan", "coretemp/Package id 0", Unit.RPM)
                .sensor("flow", "coretemp/Package id 0", Unit.LITRE_PER_MINUTE)
                .channel("asked", new ChannelSpec.Source.Ask("T?", Optional.empty()), Unit.CELSIUS, Optional.empty());

        assertEquals(
                "device host: this computer does not offer what the bench file asks of it\n"
                        + "  channel cpu: there is no sensor 'coretemp/package id 0' of a temperature under "
                        + computer.root() + "/sys/class/hwmon; nearest: 'coretemp/Package id 0', 'coretemp/Core 0',"
                        + " 'coretemp/Core 1', 'acpitz/temp1'\n"
                        + "  channel fan: there is no sensor 'coretemp/Package id 0' of a speed under "
                        + computer.root() + "/sys/class/hwmon, and no other one\n"
                        + "  channel flow: a computer's sensors measure °C, rpm, V and W; there is none for a flow\n"
                        + "  channel asked: a computer is not asked by a question; name a sensor or a fact of it",
                assertThrows(BenchException.class, this::open).getMessage());
    }

    @Test
    void labelsThatOneChipHasTwiceAreToldApartByTheirFile() throws BenchException {
        computer.chip(
                1,
                "platform/board",
                "board",
                "temp1_input",
                "30000",
                "temp1_label",
                "VRM",
                "temp2_input",
                "50000",
                "temp2_label",
                "VRM");
        computer.sensor("vrm", "board/VRM", Unit.CELSIUS);
        assertEquals(
                "device host: this computer does not offer what the bench file asks of it\n"
                        + "  channel vrm: 'board/VRM' may be any of 2 sensors; name one of 'board/temp1', 'board/temp2'",
                assertThrows(BenchException.class, this::open).getMessage());

        computer = new FakeComputer(computer.root()).sensor("vrm", "board/temp2", Unit.CELSIUS);
        open();
        assertEquals(List.of("50.000"), texts());
    }

    @Test
    void theControlTemperatureIsNotTakenForTheRealOne() throws BenchException {
        computer.chip(
                        0,
                        "pci0000:00/0000:00:18.3",
                        "k10temp",
                        "temp1_input",
                        "80500",
                        "temp1_label",
                        "Tctl",
                        "temp2_input",
                        "53500",
                        "temp2_label",
                        "Tdie")
                .sensor("cpu", "k10temp/Tdie", Unit.CELSIUS);
        open();

        assertEquals(List.of("53.500"), texts());
    }

    @Test
    void aSensorThatSaysItIsFaultyHasNoValue() throws BenchException {
        computer.chip(0, "platform/b", "board", "temp1_input", "-128000", "temp1_fault", "1")
                .sensor("probe", "board/temp1", Unit.CELSIUS);
        open();
        assertEquals(List.of(Reading.none(Quality.DEVICE_FAULT)), read());

        computer.file("sys/devices/platform/b/hwmon/hwmon0/temp1_fault", "0")
                .file("sys/devices/platform/b/hwmon/hwmon0/temp1_input", "24500");
        assertEquals(List.of("24.500"), texts());
    }

    @Test
    void aSensorThatCannotBeReadDoesNotGetItsNeighboursValue() throws Exception {
        computer.chip(
                        0,
                        CORETEMP,
                        "coretemp",
                        "temp1_input",
                        "61000",
                        "temp1_label",
                        "Package id 0",
                        "temp2_input",
                        "60000",
                        "temp2_label",
                        "Core 0")
                .sensor("cpu", "coretemp/Package id 0", Unit.CELSIUS);
        open();
        Path value = computer.root().resolve("sys/devices/" + CORETEMP + "/hwmon/hwmon0/temp1_input");
        Files.delete(value);
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());

        // A folder in its place cannot be read, as a driver that answers with an error cannot.
        Files.createDirectory(value);
        assertEquals(List.of(Reading.none(Quality.DEVICE_FAULT)), read());
    }

    @Test
    void whatIsNoNumberIsGarbled() throws BenchException {
        computer.chip(0, "platform/b", "board", "temp1_input", "N/A").sensor("probe", "board/temp1", Unit.CELSIUS);
        open();

        assertEquals(List.of(Reading.none(Quality.GARBLED)), read());
    }

    @Test
    void aFanThatStoodStillAtTheStartIsSeenToTurnAndNothingIsRemembered() throws BenchException {
        String fan = "sys/devices/platform/b/hwmon/hwmon0/fan1_input";
        computer.chip(0, "platform/b", "board", "fan1_input", "0").sensor("fan", "board/fan1", Unit.RPM);
        open();
        assertEquals(List.of("0.0"), texts());

        computer.file(fan, "812");
        assertEquals(List.of("812.0"), texts());
        computer.file(fan, "815");
        assertEquals(List.of("815.0"), texts());
    }

    /** The bench file says nothing of the range: what no thermometer reads is not believed all the same. */
    @Test
    void aTemperatureThatNoThermometerReadsIsNotBelieved() throws BenchException {
        computer.chip(0, "platform/b", "board", "temp1_input", "-127000").sensor("probe", "board/temp1", Unit.CELSIUS);
        open();

        assertEquals(List.of(new Reading("-127.000", -127.0, Quality.OUT_OF_RANGE)), read());
    }

    @Test
    void millivoltsInATemperatureFileAreSeenByTheValidRange() throws BenchException {
        computer.chip(0, "platform/b", "board", "temp1_input", "1187")
                .sensor("probe", "board/temp1", Unit.CELSIUS, 5, 110);
        open();

        assertEquals(List.of(new Reading("1.187", 1.187, Quality.OUT_OF_RANGE)), read());
    }

    @Test
    void aSensorThatDoesNotAnswerIsNotWaitedForAndItsLateValueIsDropped() throws Exception {
        assumeTrue(Files.isExecutable(Path.of("/usr/bin/mkfifo")), "needs mkfifo");
        computer.chip(0, "platform/b", "board", "temp1_input", "30000").sensor("probe", "board/temp1", Unit.CELSIUS);
        open();
        Path value = computer.root().resolve("sys/devices/platform/b/hwmon/hwmon0/temp1_input");
        Files.delete(value);
        assertEquals(
                0,
                new ProcessBuilder("/usr/bin/mkfifo", value.toString()).start().waitFor());

        Deadline deadline = Deadline.afterMillis(1_500);
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());
        assertFalse(deadline.passed());

        // Lets the late reader go, with a value that is old by now.
        Files.writeString(value, "99000\n");
        Files.delete(value);
        computer.file("sys/devices/platform/b/hwmon/hwmon0/temp1_input", "31000");
        Deadline recovered = Deadline.afterMillis(2_000);
        List<Reading> readings = read();
        while (!readings.get(0).good() && !recovered.passed()) {
            readings = read();
        }
        assertEquals("31.000", readings.get(0).text());
    }

    private void open() throws BenchException {
        device = new ComputerDevice("host", computer.bench(), VirtualClock.unpaced(Instant.EPOCH), computer.root());
        device.open();
    }

    private List<Reading> read() {
        return device.read(0).readings();
    }

    private List<String> texts() {
        List<Reading> readings = read();
        readings.forEach(r -> assertEquals(Quality.GOOD, r.quality()));
        return readings.stream().map(Reading::text).toList();
    }
}
