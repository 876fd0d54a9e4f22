package org.plateaubench.bench;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.plateaubench.bench.Sweep.DeviceEvent;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Regression tests of a bench made of devices that never touch a line. */
@Timeout(20)
class DeviceBenchTest {

    private static final HeatDemand HEAT = new HeatDemand.Workload("compile", 0);

    /** Two devices whose columns interleave: a1, b1, a2 and the readbacks of fans (b) and pump (a). */
    private static final BenchFile FILE = BenchFiles.of(
            List.of(
                    BenchFiles.serial("a", "/dev/a", DeviceSpec.Dialect.SCPI, ""),
                    BenchFiles.serial("b", "/dev/b", DeviceSpec.Dialect.SCPI, "")),
            List.of(
                    BenchFiles.channel("a1", "a", "A1?", Unit.VOLT),
                    BenchFiles.channel("b1", "b", "B1?", Unit.VOLT),
                    BenchFiles.channel("a2", "a", "A2?", Unit.VOLT)),
            List.of(
                    new ActuatorSpec("valve-duty", "a", "V {percent}", Optional.empty(), 50.0),
                    new ActuatorSpec("pump-duty", "a", "P {percent}", Optional.of("P?"), 90.0),
                    new ActuatorSpec("fan-duty", "b", "F {percent}", Optional.of("F?"), 100.0)));

    private final ExecutorService threads = Executors.newCachedThreadPool();
    private final List<String> log = new CopyOnWriteArrayList<>();
    private final FakeDevice a = new FakeDevice("a", 3);
    private final FakeDevice b = new FakeDevice("b", 2);
    private final FakeLoad load = new FakeLoad();
    private final DeviceBench bench = new DeviceBench(FILE, List.of(a, b), load);

    @AfterEach
    void close() {
        a.release();
        b.release();
        bench.close();
        threads.shutdownNow();
    }

    @Test
    void opensInFileOrderAndSaysWhatAnswered() throws Exception {
        assertEquals(
                List.of(new DeviceIdentity("a", "id a", "/dev/a"), new DeviceIdentity("b", "id b", "/dev/b")),
                bench.open());
        assertEquals(List.of("open a", "open b"), log);
    }

    @Test
    void closesWhatWasOpenedIfALaterOneCannotBe() {
        b.refuse = true;
        assertEquals(
                "device b is not there",
                assertThrows(BenchException.class, bench::open).getMessage());
        assertTrue(log.containsAll(List.of("close a", "close b")), log.toString());
    }

    @Test
    void putsReadingsInTheOrderOfTheFileHoweverTheyArrive() throws Exception {
        bench.open();
        a.hold();
        CompletableFuture<Sweep> sweep = CompletableFuture.supplyAsync(() -> bench.read(7), threads);
        b.awaitRead();
        a.release();
        assertEquals(
                List.of("0.700", "10.700", "1.700", "2.700", "11.700"),
                sweep.get().readings().stream().map(Reading::text).toList());
        assertEquals(1, load.renewals);
    }

    @Test
    void theSlowestDeviceIsTheTimeOfTheSweepAndEventsComeInFileOrder() throws Exception {
        bench.open();
        a.busyNanos = 20;
        b.busyNanos = 30;
        b.events.add(new DeviceEvent("b", DeviceEvent.Kind.GONE, ""));
        a.events.add(new DeviceEvent("a", DeviceEvent.Kind.BACK, ""));
        Sweep sweep = bench.read(0);
        assertEquals(30, sweep.busyNanos());
        assertEquals(
                List.of("a", "b"),
                sweep.events().stream().map(DeviceEvent::device).toList());
    }

    @Test
    void aDeviceThatHangsIsMissingAndDelaysLaterSweepsNoMore() throws Exception {
        bench.open();
        a.hold();
        SystemClock clock = new SystemClock();
        Sweep first = bench.read(0);
        long firstMillis = clock.nanos() / 1_000_000;
        // 300 ms of timeout and half a second to find a port again.
        assertTrue(firstMillis >= 800 && firstMillis < 2000, firstMillis + " ms");
        for (int tick = 1; tick <= 20; tick++) {
            Sweep later = bench.read(tick);
            assertEquals(Quality.MISSING, later.readings().get(0).quality());
            assertEquals(Quality.GOOD, later.readings().get(1).quality());
        }
        assertTrue(clock.nanos() / 1_000_000 - firstMillis < 800);
        assertEquals(Quality.MISSING, first.readings().get(0).quality());
        assertEquals(Quality.GOOD, first.readings().get(1).quality());
    }

    @Test
    void whatAHangingDeviceReadsInTheEndIsTooOldButItsEventsAreKept() throws Exception {
        bench.open();
        a.events.add(new DeviceEvent("a", DeviceEvent.Kind.GONE, "at last"));
        a.hold();
        bench.read(0);
        a.release();
        Sweep next = bench.read(5);
        while (next.readings().get(0).quality() == Quality.MISSING) {
            next = bench.read(5);
        }
        assertEquals("0.500", next.readings().get(0).text());
        assertEquals(List.of(new DeviceEvent("a", DeviceEvent.Kind.GONE, "at last")), next.events());
    }

    @Test
    void setsOnTheRightDevice() throws Exception {
        bench.open();
        log.clear();
        assertEquals(new SetResult("fan-duty", "60.00 %", true, "60.00 %", ""), bench.set("fan-duty", 60.0));
        assertEquals(List.of("b fan-duty 60.0"), log);
        assertThrows(IllegalArgumentException.class, () -> bench.set("lamp", 60.0));
        for (double percent : new double[] {-0.1, 100.1, Double.NaN}) {
            assertThrows(IllegalArgumentException.class, () -> bench.set("fan-duty", percent));
        }
    }

    @Test
    void makingSafeTakesTheLoadOffFirstThenFansThenPumpThenTheRest() throws Exception {
        bench.open();
        bench.heatOn(HEAT);
        log.clear();
        List<SetResult> results = bench.makeSafe(false);
        assertEquals(List.of("off", "b fan-duty 100.0", "a pump-duty 90.0", "a valve-duty 50.0"), log);
        assertEquals(
                List.of("heat", "fan-duty", "pump-duty", "valve-duty"),
                results.stream().map(SetResult::target).toList());
        assertTrue(results.stream().allMatch(SetResult::done));
    }

    @Test
    void makingSafeCanBeRepeatedAndAPumpThatWasStoppedStaysOff() throws Exception {
        bench.open();
        log.clear();
        bench.makeSafe(false);
        bench.makeSafe(true);
        bench.makeSafe(false);
        assertEquals(
                List.of("a pump-duty 90.0", "a pump-duty 0.0", "a pump-duty 0.0"),
                log.stream().filter(l -> l.startsWith("a pump")).toList());
    }

    @Test
    void whateverFailsTheRestIsTriedAllTheSame() throws Exception {
        bench.open();
        load.broken = true;
        b.broken = true;
        log.clear();
        List<SetResult> results = bench.makeSafe(false);
        assertEquals(
                List.of(
                        new SetResult("heat", "off", false, "", "failed: java.lang.IllegalStateException: broken load"),
                        new SetResult(
                                "fan-duty",
                                "100.00 %",
                                false,
                                "",
                                "failed: java.lang.IllegalStateException: broken device")),
                results.subList(0, 2));
        assertEquals(List.of("a pump-duty 90.0", "a valve-duty 50.0"), log);
    }

    @Test
    void aLoadThatHangsDelaysTheFansForASecondAtMost() throws Exception {
        bench.open();
        load.hanging = new CountDownLatch(1);
        SystemClock clock = new SystemClock();
        List<SetResult> results = bench.makeSafe(false);
        load.hanging.countDown();
        assertEquals(
                "not done within 1000 ms; it is still being tried",
                results.get(0).detail());
        assertTrue(results.get(1).done());
        assertTrue(clock.nanos() < 2_000_000_000L);
    }

    @Test
    void afterwardsNothingUnsafeIsDone() throws Exception {
        bench.open();
        bench.makeSafe(false);
        log.clear();
        String refused = "refused: the bench has been made safe";
        assertEquals(new SetResult("fan-duty", "60.00 %", false, "", refused), bench.set("fan-duty", 60.0));
        assertEquals(new SetResult("heat", "workload compile", false, "", refused), bench.heatOn(HEAT));
        assertEquals(List.of(), log);
        assertTrue(bench.set("fan-duty", 100.0).done());
        assertTrue(bench.heatOff().done());
        bench.makeSafe(true);
        assertEquals(refused, bench.set("pump-duty", 90.0).detail());
        assertTrue(bench.set("pump-duty", 0.0).done());
    }

    @Test
    void anotherThreadMakesItSafeWhileAReadingAndASettingAreUnderWay() throws Exception {
        bench.open();
        a.hold();
        CompletableFuture<Sweep> sweep = CompletableFuture.supplyAsync(() -> bench.read(0), threads);
        a.awaitRead();
        // Waits behind the reading; by the time it comes to it the bench has been made safe.
        CompletableFuture<SetResult> setting =
                CompletableFuture.supplyAsync(() -> bench.set("pump-duty", 30.0), threads);
        log.clear();
        CompletableFuture<List<SetResult>> safe = CompletableFuture.supplyAsync(() -> bench.makeSafe(false), threads);
        load.awaitOff();
        a.release();
        assertTrue(safe.get().stream().allMatch(SetResult::done));
        setting.get();
        sweep.get();
        List<String> pump = log.stream().filter(l -> l.startsWith("a pump")).toList();
        assertEquals("a pump-duty 90.0", pump.get(pump.size() - 1));
    }

    @Test
    void heatThatComesOnWhileTheBenchIsMadeSafeIsTakenOffAgain() throws Exception {
        bench.open();
        load.whileSwitchingOn = () -> bench.makeSafe(false);
        SetResult result = bench.heatOn(HEAT);
        assertEquals("refused: the bench has been made safe", result.detail());
        assertEquals(
                List.of("off", "on", "off"),
                log.stream()
                        .filter(l -> l.startsWith("o") && !l.startsWith("open"))
                        .toList());
    }

    @Test
    void theDevicesMustBeThoseOfTheFile() {
        assertThrows(IllegalArgumentException.class, () -> new DeviceBench(FILE, List.of(b, a), load));
    }

    private final class FakeLoad implements Load {

        private int renewals;
        private boolean broken;
        private volatile CountDownLatch hanging = new CountDownLatch(0);
        private final CountDownLatch off = new CountDownLatch(1);
        private Runnable whileSwitchingOn = () -> {};

        void awaitOff() throws InterruptedException {
            off.await();
        }

        @Override
        public SetResult on(HeatDemand demand) {
            whileSwitchingOn.run();
            log.add("on");
            return new SetResult("heat", demand.text(), true, "", "");
        }

        @Override
        public void renew() {
            renewals++;
        }

        @Override
        public SetResult off() {
            if (broken) {
                throw new IllegalStateException("broken load");
            }
            try {
                hanging.await();
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            log.add("off");
            off.countDown();
            return new SetResult("heat", "off", true, "", "");
        }

        @Override
        public List<LoadEvent> events() {
            return List.of();
        }

        @Override
        public void close() {}
    }

    private final class FakeDevice implements Device {

        private final String name;
        private final int columns;
        private final List<DeviceEvent> events = new ArrayList<>();
        private volatile CountDownLatch held = new CountDownLatch(0);
        private final CountDownLatch reading = new CountDownLatch(1);
        private volatile boolean refuse;
        private volatile boolean broken;
        private volatile long busyNanos;

        FakeDevice(String name, int columns) {
            this.name = name;
            this.columns = columns;
        }

        void hold() {
            held = new CountDownLatch(1);
        }

        void release() {
            held.countDown();
        }

        void awaitRead() throws InterruptedException {
            reading.await();
        }

        @Override
        public String name() {
            return name;
        }

        @Override
        public DeviceIdentity open() throws BenchException {
            log.add("open " + name);
            if (refuse) {
                throw new BenchException("device " + name + " is not there", null);
            }
            return new DeviceIdentity(name, "id " + name, "/dev/" + name);
        }

        @Override
        public DeviceReadings read(long tick) {
            reading.countDown();
            try {
                held.await();
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            List<Reading> readings = new ArrayList<>();
            for (int i = 0; i < columns; i++) {
                readings.add(Reading.of((name.equals("a") ? 0 : 10) + i + tick / 10.0, Unit.VOLT, Quality.GOOD));
            }
            DeviceReadings result = new DeviceReadings(readings, events, busyNanos);
            events.clear();
            return result;
        }

        @Override
        public SetResult set(ActuatorSpec actuator, double percent) {
            if (broken) {
                throw new IllegalStateException("broken device");
            }
            log.add(name + " " + actuator.name() + " " + percent);
            String text = Reading.of(percent, Unit.PERCENT, Quality.GOOD).text() + " %";
            return new SetResult(actuator.name(), text, true, text, "");
        }

        @Override
        public void close() {
            log.add("close " + name);
        }
    }
}
