package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.function.BooleanSupplier;
import java.util.function.Supplier;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.Device.DeviceReadings;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.serial.Ports;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.serial.SerialDevice;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.bench.sim.Truth;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Finding;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.record.Recorder;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.Verified;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.sample.Sample;
import org.plateaubench.units.Unit;

/**
 * Failures that others met in long unattended runs, each in a short night over a real pseudo-terminal: it must end in a
 * quality mark, a corrected value, a spoiled pass or a safe bench, and never in a wrong number. Every good reading is held
 * against the simulator's truth, and so is every result. The table of all of them is printed at the end.
 */
@Timeout(120)
class LongNightFailuresTest {

    private static final long SEED = 5;
    private static final double WATTS = 200.0;
    private static final SealingKey KEY = SealingKey.generate();

    /** Offset, noise and resolution of a good probe stay well within it. */
    private static final double PROBE_KELVIN = 0.5;

    private static final double ROTOR_SHARE = 0.05;
    private static final double ROTOR_RPM = 60.0;
    private static final double RESULT_KELVIN = 0.5;

    /** One line of the table. */
    private record Row(String failure, String happened, String record) {}

    private static final List<Row> TABLE = Collections.synchronizedList(new ArrayList<>());

    @TempDir
    Path folder;

    @BeforeEach
    void needsPseudoTerminals() {
        assumeTrue(Pty.supported());
    }

    @AfterAll
    static void printTable() {
        StringBuilder text = new StringBuilder("\nfailure | what happened | what the record says\n");
        TABLE.sort(Comparator.comparing(Row::failure));
        TABLE.forEach(r -> text.append(r.failure())
                .append(" | ")
                .append(r.happened())
                .append(" | ")
                .append(r.record())
                .append('\n'));
        System.out.print(text);
    }

    // ---- a short night, judged

    private static final String BENCH = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8);

    private static final String PLAN = text("/plans/short-night.yaml");

    private static String text(String resource) {
        try (var in = LongNightFailuresTest.class.getResourceAsStream(resource)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new AssertionError(e);
        }
    }

    private static NightFiles files(UnaryOperator<String> plan, UnaryOperator<String> bench) {
        return SimulatedNights.files(
                plan.apply(PLAN),
                new String(NightFiles.simulatedFans().bytes(), StandardCharsets.UTF_8),
                bench.apply(BENCH));
    }

    private static final NightFiles ORDINARY = files(p -> p, b -> b);

    /** Adds faults when a stage begins, with the bench's time then. */
    private interface Trouble {
        void begin(SimulatedBench bench, long nowMillis);
    }

    /** A night that ended, and the good readings that were none. */
    private record Ran(
            Command.End end, MemoryRecord record, SimulatedBench bench, NightResults results, List<String> wrong) {

        List<Map<String, Object>> decided(String type) {
            return journal().stream()
                    .filter(l -> type.equals(l.get("decision")))
                    .toList();
        }

        List<Map<String, Object>> journal() {
            try {
                return record.journal();
            } catch (IOException e) {
                throw new AssertionError(e);
            }
        }

        /** How often a channel had a quality. */
        long marked(BenchFile file, String channel, Quality quality) {
            int column = file.indexOf(channel);
            List<RecordedNight.Row> rows = new ArrayList<>();
            record.samples(rows::add);
            return rows.stream()
                    .filter(r -> r.sample().readings().get(column).quality() == quality)
                    .count();
        }

        List<String> spoiled() {
            return results.passes().stream()
                    .filter(p -> p.status() == PassResult.Status.SPOILED)
                    .map(PassResult::reason)
                    .toList();
        }

        /** The results against the truth, for the table; fails where one is wrong. */
        String judged() {
            assertEquals(List.of(), wrong, "good readings that are wrong");
            StringBuilder text = new StringBuilder();
            for (StepResult step : results.steps()) {
                if (step.passes() > 0) {
                    double truth = bench.truth().steadyRiseKelvin(step.nominalRpm(), WATTS);
                    double error = step.coolantRiseKelvin() - truth;
                    assertTrue(
                            Math.abs(error) < RESULT_KELVIN,
                            step.step() + ": " + step.coolantRiseKelvin() + " K, truth " + truth + " K");
                    text.append(String.format(Locale.ROOT, "; %s off by %.2f K", step.step(), error));
                }
            }
            return text.toString();
        }

        String ended() {
            return end.exit().text() + ": " + end.reason();
        }
    }

    private static Ran run(NightFiles files, String stage, int nth, Trouble trouble) throws Exception {
        VirtualClock clock = NightFixture.clock(files);
        return run(files, clock, clock, ZoneOffset.ofHours(1), stage, nth, trouble, fault -> fault);
    }

    /** What a test puts between the night and its record. */
    private interface Storage {
        Optional<String> fault(Optional<String> none);
    }

    private static Ran run(
            NightFiles files,
            VirtualClock benchClock,
            Clock clock,
            ZoneId zone,
            String stage,
            int nth,
            Trouble trouble,
            Storage storage)
            throws Exception {
        SimulatedBench bench = NightFixture.bench(files, SEED, benchClock, Transport.PSEUDO_TERMINAL);
        MemoryRecord record = NightFixture.record(files);
        Judge judge = new Judge(files.bench(), bench.truth(), record, storage);
        try (bench) {
            bench.open();
            int[] seen = {0};
            NightListener listener = new NightListener() {
                @Override
                public void tick(long tick, double seconds, Supplier<Progress> progress) {}

                @Override
                public void journalled(double seconds, Map<String, Object> fields) {
                    if ("stage".equals(fields.get("decision"))
                            && stage.equals(fields.get("stage"))
                            && ++seen[0] == nth) {
                        trouble.begin(bench, benchClock.nanos() / 1_000_000);
                    }
                }
            };
            Command.End end = new Night(files, Optional.empty(), bench, clock, zone, judge, listener, true).run();
            assertTrue(nth == 0 || seen[0] >= nth, "the night never came to stage " + stage + " number " + nth);
            assertSafe(bench);
            return new Ran(end, record, bench, NightResults.of(files, record), judge.wrong);
        }
    }

    private static void assertSafe(SimulatedBench bench) {
        assertFalse(bench.truth().heated(), "the heat is on");
        assertEquals(100.0, bench.truth().fanDutyPercent());
        assertEquals(100.0, bench.truth().pumpDutyPercent());
    }

    /** Holds every good reading against the truth, on its way to the record. */
    private static final class Judge implements Recorder {
        private final BenchFile file;
        private final Truth truth;
        private final Recorder record;
        private final Storage storage;
        private final List<String> wrong = new ArrayList<>();

        Judge(BenchFile file, Truth truth, Recorder record, Storage storage) {
            this.file = file;
            this.truth = truth;
            this.record = record;
            this.storage = storage;
        }

        @Override
        public void sample(Sample sample, String utc, String stage, String pass) {
            held(sample, "ambient", truth.ambientProbeCelsius(), PROBE_KELVIN);
            held(sample, "coolant", truth.coolantProbeCelsius(), PROBE_KELVIN);
            for (int i = 0; i < file.group(BenchFile.FANS).size(); i++) {
                double rpm = truth.fanRpm(i);
                held(sample, file.group(BenchFile.FANS).get(i), rpm, Math.max(ROTOR_RPM, ROTOR_SHARE * rpm));
            }
            held(sample, "pump", truth.pumpRpm(), Math.max(ROTOR_RPM, ROTOR_SHARE * truth.pumpRpm()));
            record.sample(sample, utc, stage, pass);
        }

        private void held(Sample sample, String channel, double is, double tolerance) {
            Reading reading = sample.readings().get(file.indexOf(channel));
            if (reading.good() && !(Math.abs(reading.value() - is) <= tolerance)) {
                wrong.add("tick " + sample.tick() + ": " + channel + " " + reading.text() + ", is " + is);
            }
        }

        @Override
        public void journal(Map<String, Object> fields) {
            record.journal(fields);
        }

        @Override
        public Optional<String> storageFault() {
            return storage.fault(record.storageFault());
        }
    }

    private static Trouble fault(Kind kind, String target, long afterMillis, long lastsMillis, double value) {
        return (bench, now) ->
                bench.faults().add(new Fault(kind, target, now + afterMillis, now + afterMillis + lastsMillis, value));
    }

    // ---- numbers that are none

    private void aBadNumberIsMarked(String failure, Kind kind, Quality quality, String happened) throws Exception {
        Ran ran = run(ORDINARY, "soak", 1, fault(kind, "coolant", 60_000, 13_000, 0));
        long marked = ran.marked(ORDINARY.bench(), "coolant", quality);
        assertTrue(marked >= 2, marked + " readings marked " + quality);
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        TABLE.add(new Row(
                failure,
                happened,
                marked + " readings of coolant marked " + quality.text() + ", pass spoiled and repeated: "
                        + ran.spoiled() + ran.judged()));
    }

    @Test
    void aDecimalCommaIsNotStripped() throws Exception {
        aBadNumberIsMarked(
                "decimal comma stripped, 9,99 read as 999",
                Kind.DECIMAL_COMMA,
                Quality.GARBLED,
                "the controller wrote 31,250 for 31.250 during 13 s");
    }

    @Test
    void aPowerOnValueIsNoReading() throws Exception {
        aBadNumberIsMarked(
                "power-on value 85 °C taken as a reading",
                Kind.POWER_ON_VALUE,
                Quality.DEVICE_FAULT,
                "the coolant probe gave 85.000 during 13 s");
    }

    @Test
    void aLostProbeIsNoReading() throws Exception {
        aBadNumberIsMarked(
                "lost probe -127 °C taken as a reading",
                Kind.LOST_PROBE,
                Quality.DEVICE_FAULT,
                "the coolant probe gave -127.000 during 13 s");
    }

    @Test
    void aSentinelIsNotAveragedIn() throws Exception {
        aBadNumberIsMarked(
                "9.9E37 \"invalid\" sentinel averaged in",
                Kind.NO_NUMBER,
                Quality.DEVICE_FAULT,
                "the controller gave 9.91E37 during 13 s");
    }

    @Test
    void aNulByteMakesNoOtherNumber() throws Exception {
        aBadNumberIsMarked(
                "NUL bytes inside numbers",
                Kind.NUL_BYTE,
                Quality.GARBLED,
                "a NUL byte stood in the middle of each number during 13 s");
    }

    // ---- lines and devices

    @Test
    void anOldReadingIsNotTakenAsNew() throws Exception {
        Ran ran = run(ORDINARY, "soak", 1, fault(Kind.STALE, "controller", 60_000, 12_000, 0));
        assertTrue(ran.marked(ORDINARY.bench(), "coolant", Quality.GARBLED) >= 1);
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        TABLE.add(new Row(
                "buffered old readings taken as new",
                "the controller answered each request with the answer to the one before",
                "garbled, then identity asked until it fits; " + ran.spoiled() + ran.judged()));
    }

    @Test
    void outputsThatWereResetAreSetAgain() throws Exception {
        Ran ran = run(ORDINARY, "dwell", 1, fault(Kind.RESET_OUTPUTS, "controller", 60_000, 1000, 0));
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        assertEquals(1, ran.decided("reset").size());
        TABLE.add(new Row(
                "outputs reset by DTR or brown-out, duty back at default",
                "the controller restarted in the dwell, both duties went to 100 %",
                "reset: " + ran.decided("reset").get(0).get("reason") + "; " + ran.spoiled() + ran.judged()));
    }

    @Test
    void aNameThatChangedOvernightIsFoundByIdentity() throws Exception {
        List<Pty> others = new ArrayList<>();
        Trouble trouble = (bench, now) -> {
            bench.faults().add(new Fault(Kind.HANG_UP, "controller", now + 60_000, now + 80_000));
            // Other devices take the number meanwhile, so that it comes back under another name.
            for (int i = 0; i < 3; i++) {
                try {
                    others.add(Pty.open());
                } catch (IOException e) {
                    throw new AssertionError(e);
                }
            }
        };
        Ran ran = run(ORDINARY, "soak", 1, trouble);
        others.forEach(Pty::close);
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        assertTrue(ran.marked(ORDINARY.bench(), "coolant", Quality.GONE) >= 3);
        TABLE.add(new Row(
                "port name changed overnight by re-enumeration",
                "the plug was pulled for 20 s and came back as another pseudo-terminal",
                news(ran) + "; " + ran.spoiled() + ran.judged()));
    }

    private static String news(Ran ran) {
        return ran.journal().stream()
                .filter(l -> l.containsKey("device"))
                .map(l -> String.valueOf(l.get("event")))
                .toList()
                .toString();
    }

    @Test
    void aTwinInItsPlaceIsNotRead() throws Exception {
        Trouble trouble = (bench, now) -> {
            bench.faults().add(new Fault(Kind.HANG_UP, "controller", now + 60_000, now + 64_000));
            bench.faults().add(new Fault(Kind.WRONG_IDENTITY, "controller", now + 60_000, now + 90_000));
        };
        Ran ran = run(ORDINARY, "soak", 1, trouble);
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        assertTrue(news(ran).toLowerCase(Locale.ROOT).replace('_', '-').contains("other-identity"), news(ran));
        TABLE.add(new Row(
                "twin adapters without serial numbers swapped",
                "after the plug was pulled another controller answered at the port for 26 s",
                news(ran) + ", nothing of it read; " + ran.spoiled() + ran.judged()));
    }

    /** One channel, asked in real time. */
    private static SerialDevice thermometer(String port) {
        DeviceSpec.Serial spec = new DeviceSpec.Serial(
                "probe",
                port,
                9600,
                DeviceSpec.Dialect.SCPI,
                "\n",
                Optional.of("EXAMPLE,PROBE,1,1"),
                100,
                OptionalDouble.empty());
        BenchFile file = BenchFiles.of(
                List.of(spec), List.of(BenchFiles.channel("coolant", "probe", "T?", Unit.CELSIUS)), List.of());
        return new SerialDevice(file, spec, Ports.of(spec));
    }

    private static byte[] probe(String request) {
        return Pty.line(
                switch (request) {
                    case "*IDN?" -> "EXAMPLE,PROBE,1,1";
                    case "SYST:ERR?" -> "0,\"No error\"";
                    case "T?;:T?" -> "28.5;28.5";
                    default -> "28.5";
                });
    }

    private static String output(String... command) throws Exception {
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8).trim();
        return process.waitFor() + " " + text;
    }

    @Test
    void aBaudRateThatAnotherProgramChangedIsSetAgain() throws Exception {
        Wants.program("stty");
        try (Pty pty = Pty.open()) {
            pty.serve(request -> {
                try {
                    // What is sent at another rate arrives as other bytes.
                    return output("stty", "-F", pty.path(), "speed").equals("0 9600")
                            ? probe(request)
                            : "\u00f8\u0080\u00f8\n".getBytes(StandardCharsets.ISO_8859_1);
                } catch (Exception e) {
                    throw new AssertionError(e);
                }
            });
            try (SerialDevice device = thermometer(pty.path())) {
                device.open();
                List<String> seen = new ArrayList<>();
                List<String> events = new ArrayList<>();
                String changed = "";
                for (int tick = 0; tick < 12; tick++) {
                    if (tick == 2) {
                        changed = output("stty", "-F", pty.path(), "115200");
                    }
                    DeviceReadings readings = device.read(tick);
                    Reading reading = readings.readings().get(0);
                    seen.add(reading.good() ? reading.text() : reading.quality().text());
                    readings.events().forEach(e -> events.add(e.kind().text()));
                }
                assertEquals("28.500", seen.get(0));
                assertEquals("28.500", seen.get(11), seen.toString());
                assertTrue(Set.of("28.500", "garbled", "missing", "gone").containsAll(seen), seen.toString());
                if (changed.equals("0 ")) {
                    assertEquals(List.of("gone", "back"), events, seen.toString());
                }
                TABLE.add(new Row(
                        "another program's port scan changing the baud rate of a live port",
                        changed.equals("0 ")
                                ? "stty, as root, changed 9600 to 115200 under a running bench"
                                : "stty was refused: " + changed,
                        String.join(" ", seen) + "; " + events));
            }
        }
    }

    @Test
    void aSecondReaderIsRefusedThePort() throws Exception {
        Wants.program("cat");
        try (Pty pty = Pty.open()) {
            pty.serve(LongNightFailuresTest::probe);
            String port = Files.createSymbolicLink(folder.resolve("port"), Path.of(pty.path()))
                    .toString();
            try (SerialDevice device = thermometer(port);
                    SerialDevice second = thermometer(port)) {
                device.open();
                BenchException refused = assertThrows(BenchException.class, second::open);
                assertTrue(refused.getMessage().contains("is open already"), refused.getMessage());
                boolean root = "root".equals(System.getProperty("user.name"));
                if (root) {
                    // Root may open what is exclusive; an ordinary user of the port's group may not.
                    Wants.program("setpriv");
                    output("chmod", "666", pty.path());
                }
                String other = root
                        ? output("setpriv", "--reuid", "65534", "--clear-groups", "cat", pty.path())
                        : output("cat", pty.path());
                assertTrue(other.contains("busy"), other);
                for (int tick = 0; tick < 20; tick++) {
                    assertEquals("28.500", device.read(tick).readings().get(0).text());
                }
                TABLE.add(new Row(
                        "two readers on one port",
                        "a second Plateau and a second program tried to open the port of a running bench",
                        "both refused (" + other.replaceAll(".*: ", "") + "); 20 of 20 readings good"));
            }
        }
    }

    // ---- computer and storage

    /** The night's clock while the machine slept: monotonic time stood still, the wall clock went on. */
    private static final class Slept implements Clock {
        private final VirtualClock bench;
        private long sleptNanos;

        Slept(VirtualClock bench) {
            this.bench = bench;
        }

        void sleep(long nanos) {
            sleptNanos += nanos;
            bench.spend(nanos);
        }

        @Override
        public long nanos() {
            return bench.nanos() - sleptNanos;
        }

        @Override
        public Instant wall() {
            return bench.wall();
        }

        @Override
        public void awaitNanos(long offsetNanos, BooleanSupplier enough) {
            bench.awaitNanos(offsetNanos + sleptNanos, enough);
        }

        @Override
        public void spend(long nanos) {
            bench.spend(nanos);
        }

        @Override
        public boolean simulated() {
            return true;
        }
    }

    @Test
    void sleepOfTheComputerSpoilsThePass() throws Exception {
        VirtualClock benchClock = NightFixture.clock(ORDINARY);
        Slept clock = new Slept(benchClock);
        Ran ran = run(
                ORDINARY,
                benchClock,
                clock,
                ZoneOffset.ofHours(1),
                "dwell",
                1,
                (bench, now) -> clock.sleep(3_600_000_000_000L),
                fault -> fault);
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        assertFalse(ran.spoiled().isEmpty());
        TABLE.add(new Row(
                "sleep and hibernation",
                "the computer slept for an hour at the beginning of a dwell; the controller's cut-off acted meanwhile",
                "spoiled and repeated: " + ran.spoiled() + ran.judged()));
    }

    @Test
    void theHourOfTheDstChangeIsNotLoggedTwice() throws Exception {
        NightFiles files = files(p -> p, b -> b.replaceFirst("start: \\S+", "start: 2026-10-25T01:30:00+02:00"));
        VirtualClock clock = NightFixture.clock(files);
        Ran ran = run(files, clock, clock, ZoneId.of("Europe/Berlin"), "", 0, (b, n) -> {}, fault -> fault);
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        List<RecordedNight.Row> rows = new ArrayList<>();
        ran.record().samples(rows::add);
        for (int i = 1; i < rows.size(); i++) {
            assertTrue(
                    rows.get(i).utc().compareTo(rows.get(i - 1).utc()) > 0
                            && rows.get(i).sample().seconds()
                                    > rows.get(i - 1).sample().seconds(),
                    "row " + i);
        }
        String before = rows.get(0).utc();
        String after = rows.get(rows.size() - 1).utc();
        assertTrue(before.compareTo("2026-10-25T01:00") < 0 && after.compareTo("2026-10-25T01:00") > 0);
        TABLE.add(new Row(
                "hour logged twice at the DST change",
                "the night went through the end of daylight saving time",
                rows.size() + " rows from " + before + " to " + after + " UTC, strictly rising" + ran.judged()));
    }

    private static final class PowerCut extends Error {
        private static final long serialVersionUID = 1L;
    }

    @Test
    void aTailOfNullsAfterAPowerCutIsKeptAsideAndTheNightGoesOn() throws Exception {
        Path[] record = new Path[1];
        assertThrows(
                PowerCut.class,
                () -> onDisk(record, (seconds, progress) -> {
                            if (seconds > 7000) {
                                throw new PowerCut();
                            }
                        })
                        .run(keeping(record), listener((seconds, progress) -> {
                            if (seconds > 7000) {
                                throw new PowerCut();
                            }
                        })));
        byte[] nulls = new byte[4096];
        for (String name : List.of("samples.csv", "journal.jsonl")) {
            Files.write(record[0].resolve("data").resolve(name), nulls, StandardOpenOption.APPEND);
        }
        List<String> torn = Verified.of(record[0]).findings().stream()
                .map(Finding::code)
                .distinct()
                .toList();
        NightRun.Finished finished = onDisk(record, (s, p) -> {})
                .resume(record[0], 600, KEY.signer()::equals, keeping(record), listener((s, p) -> {}));
        assertEquals(Exit.DONE, finished.end().exit(), finished.end().reason());
        assertTrue(finished.sealed().isPresent(), finished.sealingFault());
        List<RecordedNight.Row> rows = new ArrayList<>();
        RecordFolder.open(record[0]).samples(rows::add);
        for (String name : List.of("samples.csv", "journal.jsonl")) {
            byte[] bytes = Files.readAllBytes(record[0].resolve("data").resolve(name));
            for (byte b : bytes) {
                assertNotEquals(0, b, "a NUL byte in " + name);
            }
        }
        assertTrue(torn.contains("TAIL_UNCOVERED"), torn.toString());
        TABLE.add(new Row(
                "last 30 s of the log null after a power cut",
                "the run died after 7000 s, and 4096 NUL bytes stood at the end of samples and journal",
                "before: " + torn + "; gone on, tails kept aside, sealed with " + rows.size() + " rows, exit "
                        + finished.end().exit().text()));
    }

    private interface During {
        void tick(double seconds, Supplier<Progress> progress);
    }

    private static NightListener listener(During during) {
        return new NightListener() {
            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                during.tick(seconds, progress);
            }
        };
    }

    private static NightRun onDisk(Path[] record, During during) {
        VirtualClock clock = NightFixture.clock(ORDINARY);
        SimulatedBench bench = NightFixture.bench(ORDINARY, SEED, clock, Transport.PSEUDO_TERMINAL);
        return new NightRun(ORDINARY, Optional.empty(), bench, clock, Double.POSITIVE_INFINITY, hook -> {}, line -> {});
    }

    private NightRun.Keeping keeping(Path[] record) {
        return new NightRun.Keeping(
                folder, KEY, "Plateau tests", Map.of(), ZoneOffset.ofHours(1), (r, simulated) -> record[0] = r);
    }

    @Test
    void aFullDiskEndsTheRunAndTheBenchIsSafe() throws Exception {
        VirtualClock clock = NightFixture.clock(ORDINARY);
        int[] asked = {0};
        Ran ran = run(
                ORDINARY,
                clock,
                clock,
                ZoneOffset.ofHours(1),
                "",
                0,
                (b, n) -> {},
                none -> ++asked[0] == 900 ? Optional.of("No space left on device") : none);
        assertEquals(Exit.ENDED_EARLY, ran.end().exit());
        TABLE.add(new Row(
                "disk full while the run goes on",
                "the disk was full after 900 ticks, under heat",
                ran.ended() + "; made safe, record kept" + ran.judged()));
    }

    // ---- sensors, rotors and heat

    @Test
    void aFrozenValueEndsTheRunWhileTheHeaterIsOn() throws Exception {
        Ran ran = run(ORDINARY, "approach", 1, fault(Kind.FROZEN, "coolant", 1, 100_000_000, 0));
        assertEquals(Exit.BENCH_FAULT, ran.end().exit(), ran.ended());
        assertTrue(ran.results().passes().stream().noneMatch(p -> p.status() == PassResult.Status.DONE));
        TABLE.add(new Row(
                "frozen last value while the heater stays on",
                "the coolant probe gave the same number from the first heat on",
                ran.ended() + "; no pass done"));
    }

    @Test
    void heatDoesNotComeBackAfterAFault() throws Exception {
        VirtualClock clock = NightFixture.clock(ORDINARY);
        SimulatedBench bench = NightFixture.bench(ORDINARY, SEED, clock, Transport.PSEUDO_TERMINAL);
        try (bench) {
            bench.open();
            MemoryRecord record = NightFixture.record(ORDINARY);
            bench.faults().add(new Fault(Kind.LEAK, "", 6_000_000, 6_100_000));
            Command.End end = new Night(
                            ORDINARY,
                            Optional.empty(),
                            bench,
                            clock,
                            ZoneOffset.ofHours(1),
                            record,
                            listener((s, p) -> {}),
                            true)
                    .run();
            assertEquals(Exit.ENDED_EARLY, end.exit());
            // The leak is over; a command that comes late must not heat, and must not slow the fans.
            for (int tick = 0; tick < 40; tick++) {
                clock.spend(5_000_000_000L);
                bench.read(100_000 + tick);
            }
            SetResult heat = bench.heatOn(new HeatDemand.Power(200.0));
            SetResult workload = bench.heatOn(new HeatDemand.Workload("compile", 0));
            SetResult fans = bench.set(BenchFile.FAN_DUTY, 30.0);
            assertFalse(heat.done() || workload.done() || fans.done());
            assertFalse(bench.truth().heated());
            assertEquals(0.0, bench.truth().pumpDutyPercent(), "the pump, stopped by the leak");
            TABLE.add(new Row(
                    "heat coming back after a fault was cleared by the next command",
                    "after a leak ended the run, heat and a low duty were asked for again",
                    end.exit().text() + ": " + end.reason() + "; both " + heat.detail()));
        }
    }

    @Test
    void aTachometerThatCountsTheDutysEdgesIsNotBelieved() throws Exception {
        Ran ran = run(ORDINARY, "soak", 1, fault(Kind.FACTOR, "fan-2", 60_000, 40_000, 300));
        long marked = ran.marked(ORDINARY.bench(), "fan-2", Quality.OUT_OF_RANGE);
        assertTrue(marked >= 6, marked + " marked");
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        Ran forGood = run(ORDINARY, "soak", 1, fault(Kind.FACTOR, "fan-2", 60_000, 100_000_000, 300));
        assertEquals(Exit.BENCH_FAULT, forGood.end().exit(), forGood.ended());
        assertEquals(List.of(), forGood.wrong());
        TABLE.add(new Row(
                "tach far too high by PWM coupling",
                "fan-2 read 300 times its speed for 40 s, and another night for good",
                marked + " readings marked out-of-range, " + ran.ended() + ran.judged() + "; for good: "
                        + forGood.ended()));
    }

    @Test
    void aFanWithoutPowerThatCoastsIsReadUntilItStandsAndThenEndsTheRun() throws Exception {
        Ran ran = run(ORDINARY, "soak", 1, fault(Kind.FAN_STALL, "fan-2", 60_000, 100_000_000, 0));
        assertEquals(Exit.BENCH_FAULT, ran.end().exit(), ran.ended());
        assertTrue(ran.results().passes().stream().noneMatch(p -> p.status() == PassResult.Status.DONE));
        assertEquals(List.of(), ran.wrong());
        TABLE.add(new Row(
                "tach edges from a coasting, unpowered fan",
                "fan-2 lost its drive in a soak and ran down",
                "its readings are of the rotor as it ran down; " + ran.ended() + "; no pass done"));
    }

    @Test
    void belowTheStopDutyStandingStillIsExpected() throws Exception {
        NightFiles files = files(p -> p.replace("duty: 60 %", "duty: 10 %"), b -> b);
        Ran ran = run(files, "", 0, (b, n) -> {});
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        int column = files.bench().indexOf("fan-1");
        List<RecordedNight.Row> rows = new ArrayList<>();
        ran.record().samples(rows::add);
        long still = rows.stream()
                .filter(r -> r.stage().equals("cooldown")
                        && r.sample().readings().get(column).value() == 0.0)
                .count();
        assertTrue(still > 30, still + " readings of 0 rpm");
        TABLE.add(new Row(
                "stall below the stop duty",
                "the cooldown ran at 10 %, where these fans stand still",
                still + " good readings of 0 rpm in the cooldown, no fault; started again for the pass"
                        + ran.judged()));
    }

    @Test
    void aHeatingCycleOfTheRoomDoesNotBiasTheResult() throws Exception {
        NightFiles files = files(
                p -> p,
                b -> b.replace(
                        "    slow-mode-share: 3 %\n",
                        "    slow-mode-share: 3 %\n    heating-cycle-amplitude: 0.3 K\n    heating-cycle-period: 12 min\n"));
        Ran ran = run(files, "", 0, (b, n) -> {});
        TABLE.add(new Row(
                "room heating cycle of 10 to 15 minutes",
                "the room swung by 0.3 K in 12 min all night",
                ran.ended() + ran.judged()));
    }

    @Test
    void throttlingSpoilsThePass() throws Exception {
        NightFiles files = files(
                p -> p.replace("heat: {", "conditions:\n  - { channel: throttle-count, unchanged: true }\nheat: {"),
                b -> b);
        Ran ran = run(files, "dwell", 1, fault(Kind.OFFSET, "throttle-count", 60_000, 100_000_000, 3));
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        assertEquals(1, ran.spoiled().size());
        TABLE.add(new Row(
                "throttling that flattens the temperature curve",
                "the throttle counter rose by 3 in a dwell",
                "spoiled and repeated: " + ran.spoiled() + ran.judged()));
    }

    @Test
    void aWorkloadThatEndsBeforeEquilibriumIsStartedAgain() throws Exception {
        NightFiles files = files(p -> p, b -> b.replace("run: 8 min", "run: 3 min"));
        Ran ran = run(files, "", 0, (b, n) -> {});
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        long completed = ran.journal().stream()
                .filter(l -> "completed".equals(l.get("event")))
                .count();
        assertTrue(completed > 20, completed + " runs completed");
        TABLE.add(new Row(
                "workload that ends before equilibrium",
                "each run of the workload took 3 min, each soak longer",
                completed + " runs completed and started again" + ran.judged()));
    }

    @Test
    void aWorkloadThatFailsSpoilsThePass() throws Exception {
        Ran ran = run(ORDINARY, "dwell", 1, fault(Kind.WORKLOAD_FAILS, "", 60_000, 1000, 0));
        assertEquals(Exit.DONE, ran.end().exit(), ran.ended());
        TABLE.add(new Row(
                "workload that fails in a dwell",
                "a run of the workload ended with status 1",
                "spoiled and repeated: " + ran.spoiled() + ran.judged()));
    }
}
