package org.plateaubench.benchfile;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.plateaubench.benchfile.ChannelSpec.Calibration;
import org.plateaubench.benchfile.ChannelSpec.Level;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.ChannelSpec.Source;
import org.plateaubench.benchfile.DeviceSpec.Dialect;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

class BenchFileReaderTest {

    private static final BenchFile REAL = read("src/test/resources/files/valid/everything-bench.yaml");

    private static BenchFile read(String path) {
        return BenchFileReader.read(SourceFiles.read(Path.of(path)).value().orElseThrow())
                .value()
                .orElseThrow();
    }

    @Test
    void devicesAreRead() {
        assertEquals(
                List.of(
                        new DeviceSpec.Serial(
                                "controller",
                                "/dev/serial/by-id/usb-example",
                                38400,
                                Dialect.SCPI,
                                "\n",
                                Optional.of("EXAMPLE,FANCTL-2,0042,1.3"),
                                300,
                                OptionalDouble.of(10)),
                        new DeviceSpec.Serial(
                                "meter",
                                "/dev/serial/by-id/usb-meter",
                                9600,
                                Dialect.TEXT,
                                "\r\n",
                                Optional.empty(),
                                300,
                                OptionalDouble.empty()),
                        new DeviceSpec.Computer("host", false)),
                REAL.devices());
    }

    @Test
    void temperatureChannelKeepsItsCorrectionUncertaintyAndCalibration() {
        ChannelSpec ambient = REAL.channel("ambient").orElseThrow();
        assertEquals(new Source.Ask("MEAS:TEMP? (@1)", Optional.empty()), ambient.source());
        assertEquals(Unit.CELSIUS, ambient.unit());
        assertEquals(-0.12, ambient.correction());
        assertEquals(Optional.of(new ChannelSpec.Uncertainty(0.05, "±0.10 K (k = 2)")), ambient.uncertainty());
        assertEquals(Optional.of(new Calibration("C-118", LocalDate.of(2027, 3, 1))), ambient.calibration());
        assertEquals(Optional.of(new Range(5, 45)), ambient.valid());
        assertEquals(OptionalDouble.of(20), ambient.timeConstantSeconds());
        assertEquals(
                OptionalDouble.of(300), REAL.channel("coolant").orElseThrow().frozenAfterSeconds());
    }

    /** The standard uncertainty of a rectangle is its half width over the root of three (JCGM 100:2008, 4.3.7). */
    @Test
    void uncertaintyIsReadInItsThreeForms() {
        ChannelSpec.Uncertainty limits =
                REAL.channel("coolant").orElseThrow().uncertainty().orElseThrow();
        assertEquals(0.057735, limits.standard(), 5e-7);
        assertEquals("limits ±0.10 K", limits.stated());
        assertEquals(
                Optional.of(new ChannelSpec.Uncertainty(0.05, "standard uncertainty 0.05 K")),
                REAL.channel("coolant-out").orElseThrow().uncertainty());
    }

    @Test
    void tachometerIsReadInRevolutionsPerMinute() {
        ChannelSpec fan = REAL.channel("fan-1").orElseThrow();
        assertEquals(Unit.RPM, fan.unit());
        assertEquals(OptionalInt.of(2), fan.tachometerPulses());
        assertEquals(Optional.of(new Range(0, 3000)), fan.valid());
        assertEquals(List.of("fan-1"), REAL.group(BenchFile.FANS));
    }

    @Test
    void channelsOfTheComputerAndTheMeterAreRead() {
        assertEquals(
                new Source.HostSensor("coretemp/Package id 0"),
                REAL.channel("cpu").orElseThrow().source());
        assertEquals(
                new Source.HostFact("processor-clock"),
                REAL.channel("cpu-clock").orElseThrow().source());
        assertEquals(Unit.GIGAHERTZ, REAL.channel("cpu-clock").orElseThrow().unit());
        assertEquals(Unit.ONE, REAL.channel("throttle-count").orElseThrow().unit());
        ChannelSpec level = REAL.channel("level").orElseThrow();
        assertEquals(Optional.of(new Level("A", "LAeq 1 s", OptionalDouble.of(17))), level.level());
        assertTrue(((Source.Ask) level.source())
                .match()
                .orElseThrow()
                .matcher("24.1 dBA")
                .matches());
    }

    @Test
    void actuatorsLoadsLimitsAndCommissioningAreRead() {
        assertEquals(
                new ActuatorSpec(
                        "fan-duty", "controller", "SOUR1:PULS:DCYC {percent}", Optional.of("SOUR1:PULS:DCYC?"), 100),
                REAL.actuator(BenchFile.FAN_DUTY).orElseThrow());
        assertEquals(
                List.of(new WorkloadSpec.Command("compile", List.of("make", "-C", "big-tree", "-j16"))),
                REAL.workloads());
        assertEquals(
                Optional.of(new SupplySpec(
                        "controller",
                        "SOUR3:POW {watt}",
                        Optional.of("SOUR3:POW?"),
                        Optional.of(new SupplySpec.Cutoff(10, "supply")))),
                REAL.supply());
        assertEquals(
                new Limit("leak", Limit.Side.ABOVE, new Quantity(1, Unit.VOLT), 1, true),
                REAL.limits().get(3));
        assertEquals(
                Optional.of(new Commissioning(1500, 380, OptionalDouble.of(20), LocalDate.of(2026, 11, 20))),
                REAL.commissioning());
        assertEquals(Optional.empty(), REAL.simulation());
        assertEquals(
                List.of(new BenchFile.Fact("panels", "open frame"), new BenchFile.Fact("orientation", "flat")),
                REAL.configuration());
    }

    @Test
    void simulationIsRead() {
        BenchFile simulated = read("src/test/resources/files/valid/base-bench.yaml");
        SimulationSpec.Setting speed = new SimulationSpec.Setting(SimulationKey.MAX_SPEED, 2000);
        assertEquals(
                Optional.of(new SimulationSpec(
                        OffsetDateTime.parse("2026-11-24T22:10:00+01:00"),
                        1,
                        List.of(new SimulationSpec.Setting(SimulationKey.SLOW_MODE_SHARE, 3)),
                        List.of(
                                new SimulationSpec.FanSetTruth("A", List.of(speed)),
                                new SimulationSpec.FanSetTruth("B", List.of(speed))))),
                simulated.simulation());
        assertEquals(List.of(new WorkloadSpec.Simulated("compile", 200, 480)), simulated.workloads());
    }
}
