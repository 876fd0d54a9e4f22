package org.plateaubench.bench.computer;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Regression: facts that are read at each tick, from trees of files as the kernel shows them, and facts for the record. */
class ComputerFactsTest {

    private static final String CPU = "sys/devices/system/cpu/";
    private static final String RAPL = "sys/class/powercap/intel-rapl:0/";

    @TempDir
    Path root;

    private final VirtualClock clock = VirtualClock.unpaced(Instant.EPOCH);
    private FakeComputer computer;
    private ComputerDevice device;

    @BeforeEach
    void emptyComputer() {
        computer = new FakeComputer(root);
    }

    @AfterEach
    void closeDevice() {
        if (device != null) {
            device.close();
        }
    }

    @Test
    void theClockIsTheMeanOfTheProcessorsThatAreOn() throws BenchException {
        computer.file(CPU + "cpu0/cpufreq/scaling_cur_freq", "4300000")
                .file(CPU + "cpu1/cpufreq/scaling_cur_freq", "4100000")
                .file(CPU + "cpu2/online", "0")
                .file(CPU + "cpufreq/policy0/scaling_cur_freq", "1")
                .fact("cpu-clock", "processor-clock", Unit.MEGAHERTZ)
                .fact("cpu-clock-too", "processor-clock", Unit.GIGAHERTZ);
        open();

        assertEquals(List.of("4200.0", "4.2000"), texts());
    }

    @Test
    void theClockIsTakenFromTheDescriptionWhereNothingIsScaled() throws BenchException {
        computer.file(
                        "proc/cpuinfo",
                        "processor\t: 0\nmodel name\t: Example 9000 @ 4.00GHz\ncpu MHz\t\t: 3999.998\n\n"
                                + "processor\t: 1\nmodel name\t: Example 9000 @ 4.00GHz\ncpu MHz\t\t: 4000.002\n")
                .fact("cpu-clock", "processor-clock", Unit.MEGAHERTZ);

        assertEquals(new DeviceIdentity("host", "Example 9000 @ 4.00GHz", "this computer"), open());
        assertEquals(List.of("4000.0"), texts());
    }

    @Test
    void throttlingIsTheSumOfAllCounters() throws BenchException {
        computer.file(CPU + "cpu0/thermal_throttle/core_throttle_count", "2")
                .file(CPU + "cpu0/thermal_throttle/package_throttle_count", "5")
                .file(CPU + "cpu1/thermal_throttle/core_throttle_count", "1")
                .fact("throttle-count", "throttle-count", Unit.ONE);
        open();

        assertEquals(List.of("8.000"), texts());
    }

    @Test
    void powerIsEnergyOverTime() throws BenchException {
        power("1000000").file("sys/class/powercap/intel-rapl-mmio:0/name", "package-0");
        open();
        pass(1.0);
        computer.file(RAPL + "energy_uj", "66500000");

        assertEquals(List.of("65.50"), texts());
    }

    @Test
    void powerIsRightWhenTheCounterStartsAgain() throws BenchException {
        power("262143000000");
        open();
        pass(0.5);
        computer.file(RAPL + "energy_uj", "99671150");

        // 262143.328850 J is the range: 0.328850 J to its end and 99.671150 J beyond it, in half a second.
        assertEquals(List.of("200.00"), texts());
    }

    @Test
    void powerOfSeveralPackagesIsAdded() throws BenchException {
        power("0")
                .file("sys/class/powercap/intel-rapl:1/name", "package-1")
                .file("sys/class/powercap/intel-rapl:1/energy_uj", "0")
                .file("sys/class/powercap/intel-rapl:1/max_energy_range_uj", "262143328850")
                .file("sys/class/powercap/intel-rapl:0:0/name", "core");
        open();
        pass(2.0);
        computer.file(RAPL + "energy_uj", "100000000").file("sys/class/powercap/intel-rapl:1/energy_uj", "60000000");

        assertEquals(List.of("80.00"), texts());
    }

    @Test
    void powerHasNoValueWhereTheCounterMayHaveStartedAgainUnseenNorWithoutTimePassed() throws BenchException {
        power("0");
        open();
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());

        pass(61);
        computer.file(RAPL + "energy_uj", "100000000");
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());

        pass(1);
        computer.file(RAPL + "energy_uj", "150000000");
        assertEquals(List.of("50.00"), texts());
    }

    @Test
    void aCounterThatOnlyRootMayReadIsSaidSoWithTheRemedy() throws Exception {
        // The kernel refuses to read a file that can only be written, even to root.
        Path writeOnly = Path.of("/sys/bus/platform/drivers_probe");
        assumeTrue(Files.exists(writeOnly), "needs " + writeOnly);
        power("0");
        Files.delete(root.resolve(RAPL + "energy_uj"));
        Files.createSymbolicLink(root.resolve(RAPL + "energy_uj"), writeOnly);

        String energy = root.resolve(RAPL + "energy_uj").toString();
        assertEquals(
                "device host: this computer does not offer what the bench file asks of it\n  channel power: " + energy
                        + " may be read by root only, as it is since Linux 5.10; let an administrator allow it with"
                        + " 'chmod a+r " + energy + "' after each start of the computer, or take the channel out",
                assertThrows(BenchException.class, this::open).getMessage());
        Files.delete(root.resolve(RAPL + "energy_uj"));
    }

    @Test
    void theShareCountsWorkOfAnyKindAndNeitherIdlingNorStolenTime() throws BenchException {
        computer.file("proc/stat", "cpu  100 0 100 800 0 0 0 0 0 0\ncpu0 1 1 1 1 1 1 1 1 0 0")
                .fact("delivered", "processor-load", Unit.PERCENT);
        open();
        computer.file("proc/stat", "cpu  130 10 110 830 5 3 2 20 7 0\ncpu0 1 1 1 1 1 1 1 1 0 0");

        // 30 + 10 + 10 + 3 + 2 of 110 ticks.
        assertEquals(List.of("50.00"), texts());
        assertEquals(List.of(Reading.none(Quality.MISSING)), read());
    }

    @Test
    void everyFactThatCannotBeHadIsNamed() {
        computer.fact("clock", "processor-clock", Unit.MEGAHERTZ)
                .fact("throttle", "throttle-count", Unit.ONE)
                .fact("power", "processor-power", Unit.WATT)
                .fact("share", "processor-load", Unit.PERCENT)
                .fact("weather", "weather", Unit.CELSIUS);

        assertEquals(
                "device host: this computer does not offer what the bench file asks of it\n"
                        + "  channel clock: this computer does not state its clock: found neither scaling_cur_freq under "
                        + root + "/sys/devices/system/cpu/cpu*/cpufreq nor 'cpu MHz' in " + root + "/proc/cpuinfo\n"
                        + "  channel throttle: this computer does not count throttling: found no counter under " + root
                        + "/sys/devices/system/cpu/cpu*/thermal_throttle; watch the processor's clock and temperature"
                        + " instead\n"
                        + "  channel power: this computer does not count its energy: found no zone named package under "
                        + root + "/sys/class/powercap\n"
                        + "  channel share: this computer does not count its processor time in " + root + "/proc/stat\n"
                        + "  channel weather: a computer has no fact 'weather'; it has processor-clock, processor-power,"
                        + " processor-load, throttle-count",
                assertThrows(BenchException.class, this::open).getMessage());
    }

    @Test
    void aFactInAUnitOfAnotherKindIsRefused() {
        power("0").fact("power-too", "processor-power", Unit.VOLT);

        assertEquals(
                "device host: this computer does not offer what the bench file asks of it\n"
                        + "  channel power-too: this fact is a power such as 200 W, found the unit 'V'",
                assertThrows(BenchException.class, this::open).getMessage());
    }

    @Test
    void aComputerSetsNothing() {
        device = new ComputerDevice("host", computer.bench(), clock, root);

        assertEquals(
                "a computer sets no duty of a fan or pump",
                device.set(new ActuatorSpec("fan-duty", "host", "", Optional.empty(), 100), 50)
                        .detail());
    }

    @Test
    void thisComputersOwnShareIsBelievable() throws BenchException {
        assumeTrue(Files.isReadable(Path.of("/proc/stat")), "needs /proc");
        computer.fact("delivered", "processor-load", Unit.PERCENT);
        device = new ComputerDevice("host", computer.bench(), new SystemClock());
        device.open();
        Deadline.afterMillis(120).await();

        double percent = device.read(0).readings().get(0).value();

        assertTrue(percent >= 0 && percent <= 100, () -> "found " + percent);
    }

    @Test
    void factsForTheRecordComeInOneOrderWithoutWhatIsUnknown() {
        Map<String, Object> facts = HostFacts.ask();

        List<String> order = List.of(
                "processor",
                "physical-cores",
                "logical-processors",
                "memory-bytes",
                "computer",
                "board",
                "firmware",
                "operating-system",
                "uptime-seconds",
                "load-average",
                "elevated",
                "facts-from");
        assertEquals(order.stream().filter(facts::containsKey).toList(), List.copyOf(facts.keySet()));
        assertTrue(facts.keySet().containsAll(List.of("logical-processors", "memory-bytes", "elevated")));
        // A container may be given fewer than the computer has.
        assertTrue(
                (long) facts.get("logical-processors") >= Runtime.getRuntime().availableProcessors());
        facts.forEach((name, value) ->
                assertFalse(value.toString().isBlank() || value.toString().contains("unknown"), name));
    }

    private FakeComputer power(String microjoules) {
        return computer.file(RAPL + "name", "package-0")
                .file(RAPL + "energy_uj", microjoules)
                .file(RAPL + "max_energy_range_uj", "262143328850")
                .fact("power", "processor-power", Unit.WATT);
    }

    private void pass(double seconds) {
        clock.spend((long) (seconds * 1e9));
    }

    private DeviceIdentity open() throws BenchException {
        device = new ComputerDevice("host", computer.bench(), clock, root);
        return device.open();
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
