package org.plateaubench.bench;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.FutureTask;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.sample.Quality;
import org.plateaubench.units.Unit;

/** Regression tests of a whole bench of real serial devices, on pseudo-terminals and in real time. */
@Timeout(30)
class RealBenchTest {

    private static final byte[] NOTHING = {};

    private final Instrument first = new Instrument("EXAMPLE,CONTROLLER,1,1");
    private final Instrument second = new Instrument("EXAMPLE,SUPPLY,2,1");
    private Pty firstPty;
    private Pty secondPty;
    private Bench bench;

    @BeforeEach
    void openBench(@TempDir Path logs) throws Exception {
        Wants.that(Pty.supported(), "pseudo-terminals");
        firstPty = Pty.open();
        secondPty = Pty.open();
        firstPty.serve(first);
        secondPty.serve(second);
        BenchFile devices = BenchFiles.of(
                List.of(
                        BenchFiles.serial("controller", firstPty.path(), DeviceSpec.Dialect.SCPI, first.identity),
                        BenchFiles.serial("supply", secondPty.path(), DeviceSpec.Dialect.SCPI, second.identity)),
                List.of(
                        BenchFiles.channel("coolant", "controller", "MEAS:TEMP?", Unit.CELSIUS),
                        BenchFiles.channel("ambient", "supply", "MEAS:TEMP?", Unit.CELSIUS)),
                List.of(new ActuatorSpec(
                        "fan-duty",
                        "controller",
                        "SOUR1:PULS:DCYC {percent}",
                        Optional.of("SOUR1:PULS:DCYC?"),
                        100.0)));
        BenchFile file = new BenchFile(
                devices.name(),
                devices.configuration(),
                devices.devices(),
                devices.channels(),
                devices.groups(),
                devices.actuators(),
                devices.workloads(),
                Optional.of(new SupplySpec("supply", "SOUR3:POW {watt}", Optional.of("SOUR3:POW?"), Optional.empty())),
                devices.limits(),
                devices.commissioning(),
                devices.simulation());
        bench = Benches.real(file, () -> logs, computer -> {
            throw new IllegalStateException("there is no computer on this bench");
        });
        bench.open();
    }

    @AfterEach
    void closeBench() {
        if (bench != null) {
            bench.close();
        }
        firstPty.close();
        secondPty.close();
    }

    @Test
    void twoSilentDevicesTakeTheTimeOfOne() {
        first.silentTo = "MEAS:TEMP?";
        second.silentTo = "MEAS:TEMP?";
        SystemClock clock = new SystemClock();
        Sweep sweep = bench.read(0);
        long millis = clock.nanos() / 1_000_000;
        assertEquals(Quality.MISSING, sweep.readings().get(0).quality());
        assertEquals(Quality.MISSING, sweep.readings().get(1).quality());
        // Each has 300 ms; one after the other they would take 600.
        assertTrue(millis >= 300 && millis < 600, millis + " ms");
    }

    @Test
    void aSilentDeviceLeavesTheOthersGood() {
        first.silentTo = "MEAS:TEMP?";
        Sweep sweep = bench.read(0);
        assertEquals(Quality.MISSING, sweep.readings().get(0).quality());
        assertEquals("28.400", sweep.readings().get(1).text());
    }

    @Test
    void isMadeSafeByAnotherThreadWhileAReadingIsUnderWay() throws Exception {
        bench.set("fan-duty", 40.0);
        assertTrue(bench.heatOn(new HeatDemand.Power(200.0)).done());
        assertEquals("200.00", second.setting("SOUR3:POW"));
        first.silentTo = "MEAS:TEMP?";
        FutureTask<Sweep> reading = new FutureTask<>(() -> bench.read(0));
        new Thread(reading).start();
        first.asked.await();
        SystemClock clock = new SystemClock();
        List<SetResult> results = bench.makeSafe(false);
        assertTrue(clock.nanos() < 2_000_000_000L);
        assertEquals(
                List.of("heat", "fan-duty"),
                results.stream().map(SetResult::target).toList());
        assertTrue(results.stream().allMatch(SetResult::done), results.toString());
        assertEquals("0.00", second.setting("SOUR3:POW"));
        assertEquals("100.00", first.setting("SOUR1:PULS:DCYC"));
        assertEquals(Quality.MISSING, reading.get().readings().get(0).quality());
    }

    @Test
    void aDeviceThatIsGoneDoesNotKeepTheRestFromBeingMadeSafe() {
        assertTrue(bench.heatOn(new HeatDemand.Power(200.0)).done());
        firstPty.close();
        List<SetResult> results = bench.makeSafe(false);
        assertEquals(List.of(true, false), results.stream().map(SetResult::done).toList());
        assertEquals("0.00", second.setting("SOUR3:POW"));
    }

    /** Answers a temperature and keeps what it is set to. */
    private static final class Instrument implements Pty.Instrument {

        private final String identity;
        private final Map<String, String> settings = new LinkedHashMap<>();
        private final CountDownLatch asked = new CountDownLatch(1);
        private volatile String silentTo = "";

        Instrument(String identity) {
            this.identity = identity;
        }

        synchronized String setting(String name) {
            return settings.get(name);
        }

        @Override
        public synchronized byte[] answer(String request) {
            List<String> answers = new ArrayList<>();
            for (String part : request.split(";:?")) {
                int space = part.indexOf(' ');
                if (part.equals(silentTo)) {
                    asked.countDown();
                    return NOTHING;
                } else if (part.equals("*IDN?")) {
                    answers.add(identity);
                } else if (part.equals("SYST:ERR?")) {
                    answers.add("0,\"No error\"");
                } else if (part.equals("MEAS:TEMP?")) {
                    answers.add("28.4");
                } else if (part.endsWith("?")) {
                    answers.add(settings.getOrDefault(part.substring(0, part.length() - 1), "0.00"));
                } else if (space > 0) {
                    settings.put(part.substring(0, space), part.substring(space + 1));
                }
            }
            return answers.isEmpty() ? NOTHING : Pty.line(String.join(";", answers));
        }
    }
}
