package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.TreeSet;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.engine.Exit;
import org.plateaubench.results.FanResult;
import org.plateaubench.results.FanSetResult;
import org.plateaubench.results.NightFinding;

/**
 * Validation of the characterise measurement: simulated fans of eight kinds, whose truth is stated here beside what was
 * measured. The table is printed. CI takes three seeds a kind; more of them:
 * {@code mvn test -Dtest=FanKindsTest -Dplateau.nights=100}.
 */
class FanKindsTest {

    private static final int NIGHTS = Integer.getInteger("plateau.nights", 3);
    private static final long LAST_MILLIS = 100_000_000;

    private static final String PLAN = """
            title: Fans
            purpose: What do the mounted fans do with their duty?
            sample-every: 1 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            measurements:
              - characterise: { from: 0 %, to: 100 %, by: 5 %, settle: 10 s, sweeps: 2, starts: 5 }
            """;

    private static final String FANS = """
            set: A
            specimens: [A-1, A-2, A-3]
            mount: { number: 1 }
            rated-speed: 2000 rpm
            """;

    /** What is true of a kind; NaN for a duty that there is not. Speeds are those of the first fan and of the last. */
    enum Kind {
        LINEAR(
                "min-speed: 300 rpm, min-duty: 15 %, start-duty: 18.3 %, stop-duty: 12.2 %",
                new Truth(18.3, 12.2, 300, 2000, 1, 0, 1.5, 2.5)),
        STOPS_BELOW_20(
                "min-duty: 15 %, start-duty: 24 %, stop-duty: 20 %, spin-up: 2.4 s, coast-down: 4 s",
                new Truth(24, 20, 400, 2000, 1, 0, 2.4, 4)),
        NEVER_STOPS(
                "min-speed: 420 rpm, min-duty: 20 %, start-duty: 0 %, stop-duty: 0 %",
                new Truth(Double.NaN, Double.NaN, 420, 2000, 1, 0, 1.5, 2.5), "never-stops"),
        THRESHOLD_AND_CAP(
                "stop-below: 49 %, speed-cap: 900 rpm",
                new Truth(49, 49, 900, 900, 1, Double.NaN, 1.5, 2.5), "stops-below-threshold", "speed-capped"),
        // Reached from below, full duty acts as 96 %; reached from above, the stop duty of 15 % acts as 16 % (the play
        // of 8 % is taken up from the last rise): 1920 rpm and 320 rpm on the line of 20 rpm a per cent.
        HYSTERESIS("hysteresis: 8 %", new Truth(20, 15, 320, 1920, 1, 8, 1.5, 2.5), "hysteresis"),
        STICKY_START(
                "start-duty: 30 %, start-scatter: 4 %, stop-duty: 14 %",
                new Truth(Double.NaN, 14, 300, 2000, 1, 0, 1.5, 2.5), "sticky-start"),
        ONE_SLOW("slow-fan: 15 %", new Truth(20, 15, 300, 2000, 0.85, 0, 1.5, 2.5), "unlike-the-others"),
        TACHOMETER_DOUBLING("tachometer-factor: 2", new Truth(20, 15, 600, 4000, 1, 0, 1.5, 2.5), "tachometer");

        private final String settings;
        private final Truth truth;
        private final List<String> findings;

        Kind(String settings, Truth truth, String... findings) {
            this.settings = settings;
            this.truth = truth;
            this.findings = List.of(findings);
        }
    }

    record Truth(
            double startPercent,
            double stopPercent,
            double minimumRpm,
            double maximumRpm,
            double shareOfLastFan,
            double hysteresisPercent,
            double spinUpSeconds,
            double coastDownSeconds) {}

    private static SimulatedNights.Left night(String plan, String set, long seed, Fault... faults) throws IOException {
        String bench = SimulatedNights.bench("ambient-drift: 0 K/h", "spread: 0 %, speed-drift: 0 %, " + set);
        return SimulatedNights.run(SimulatedNights.files(plan, FANS, bench), seed, faults);
    }

    @BeforeAll
    static void head() {
        System.out.printf(
                "%n%d nights a kind: measured (truth), worst of all nights and fans%n%-20s %-17s %-17s %-17s %-18s %-13s"
                        + " %-13s %-13s findings%n",
                NIGHTS,
                "kind",
                "start %",
                "stop %",
                "minimum rpm",
                "maximum rpm",
                "play %",
                "spin-up s",
                "coast-down s");
    }

    @AfterAll
    static void foot() {
        System.out.println("A duty is sought in steps of 0.5 %. NaN: there is none, or no single one.");
    }

    @ParameterizedTest
    @EnumSource
    void everyFigureAgreesWithTheTruthOrTheFaultIsNamed(Kind kind) throws Exception {
        Truth truth = kind.truth;
        Worst start = new Worst(truth.startPercent());
        Worst stop = new Worst(truth.stopPercent());
        Worst minimum = new Worst(truth.minimumRpm());
        Worst maximum = new Worst(truth.maximumRpm());
        Worst play = new Worst(truth.hysteresisPercent());
        Worst spinUp = new Worst(truth.spinUpSeconds());
        Worst coastDown = new Worst(truth.coastDownSeconds());
        TreeSet<String> found = new TreeSet<>();
        for (long seed = 1; seed <= NIGHTS; seed++) {
            SimulatedNights.Left left = night(PLAN, kind.settings, seed);
            assertEquals(
                    Exit.DONE,
                    left.end().exit(),
                    "seed " + seed + ": " + left.end().reason());
            FanSetResult set = left.results().fans().orElseThrow();
            assertTrue(set.characterised(), "seed " + seed);
            for (FanResult fan : set.fans()) {
                double share = fan.fan().equals("fan-3") ? truth.shareOfLastFan() : 1.0;
                if (kind != Kind.STICKY_START) {
                    start.take(fan.start().meanPercent());
                }
                stop.take(fan.stop().meanPercent());
                minimum.take(fan.minimumRpm() / share);
                maximum.take(fan.maximumRpm() / share);
                play.take(fan.hysteresisPercent());
                spinUp.take(fan.spinUpSeconds());
                coastDown.take(fan.coastDownSeconds());
            }
            left.results().findings().forEach(f -> found.add(f.kind()));
            assertEquals(Optional.empty(), left.retraced(), "seed " + seed);
        }
        System.out.printf(
                "%-20s %-17s %-17s %-17s %-18s %-13s %-13s %-13s %s%n",
                kind.name().toLowerCase(Locale.ROOT).replace('_', ' '),
                start.text(1),
                stop.text(1),
                minimum.text(1),
                maximum.text(1),
                play.text(2),
                spinUp.text(2),
                coastDown.text(2),
                String.join(", ", found));
        start.within(1.0);
        stop.within(1.0);
        minimum.within(0.01 * truth.minimumRpm());
        maximum.within(0.01 * truth.maximumRpm());
        play.within(1.0);
        spinUp.within(0.15 * truth.spinUpSeconds());
        coastDown.within(0.15 * truth.coastDownSeconds());
        assertEquals(new TreeSet<>(kind.findings), found, "findings");
    }

    /** The measured value that is farthest from the truth. */
    private static final class Worst {
        private final double truth;
        private double farthest;

        Worst(double truth) {
            this.truth = truth;
            this.farthest = truth;
        }

        void take(double measured) {
            assertEquals(Double.isNaN(truth), Double.isNaN(measured), "there is a value: " + measured);
            if (Math.abs(measured - truth) > Math.abs(farthest - truth)) {
                farthest = measured;
            }
        }

        String text(int decimals) {
            return String.format(Locale.ROOT, "%." + decimals + "f (%s)", farthest, truth);
        }

        void within(double limit) {
            assertTrue(Double.isNaN(truth) || Math.abs(farthest - truth) <= limit, text(3) + " beyond " + limit);
        }
    }

    @Test
    void startDutiesOfAStickyFanAreThoseOfEachStart() throws Exception {
        FanSetResult set =
                night(PLAN, Kind.STICKY_START.settings, 3).results().fans().orElseThrow();
        for (FanResult fan : set.fans()) {
            assertEquals(5, fan.start().trials());
            // Five draws with a spread of 4 % about 30 %: their mean is within 3 standard errors.
            assertEquals(30.0, fan.start().meanPercent(), 3 * 4.0 / StrictMath.sqrt(5));
        }
        double highest = set.fans().stream()
                .mapToDouble(f -> f.start().highestPercent())
                .max()
                .orElseThrow();
        assertEquals(highest, set.startPercent());
    }

    @Test
    void aFanThatDoesNotAnswerIsNotCalledCharacterised() throws Exception {
        Fault stall = new Fault(Fault.Kind.FAN_STALL, "fan-2", 1000, LAST_MILLIS);
        SimulatedNights.Left left = night(PLAN, "max-speed: 2000 rpm", 1, stall);
        FanSetResult set = left.results().fans().orElseThrow();
        assertFalse(set.characterised());
        assertEquals(
                List.of(true, false, true),
                set.fans().stream().map(FanResult::characterised).toList());
        assertEquals(List.of(), set.curve());
        assertEquals(Exit.PASSES_MISSING, left.end().exit());
        assertTrue(
                left.end().reason().contains("the fans are not characterised"),
                left.end().reason());
        assertTrue(
                left.results()
                        .findings()
                        .contains(new NightFinding(
                                "no-answer",
                                "fan-2",
                                "did not turn at any duty, or its tachometer gave nothing: it is not characterised")),
                left.results().findings().toString());
    }

    @Test
    void oneTachometerThatCountsTwiceIsToldByTheOthers() throws Exception {
        Fault twice = new Fault(Fault.Kind.FACTOR, "fan-1", 0, LAST_MILLIS, 2.0);
        SimulatedNights.Left left = night(PLAN, "max-speed: 1500 rpm", 1, twice);
        assertEquals(
                List.of(new NightFinding("tachometer", "fan-1", "tachometer-doubling: reads 2.00 times the others")),
                left.results().findings());
    }

    @Test
    void oneTachometerForSeveralFansIsSaid() throws Exception {
        String bench = SimulatedNights.bench("ambient-drift: 0 K/h", "max-speed: 2000 rpm")
                .replace("groups: { fans: [fan-1, fan-2, fan-3] }", "groups: { fans: [fan-1] }");
        SimulatedNights.Left left = SimulatedNights.run(
                SimulatedNights.files(
                        PLAN, FANS.replace("rated-speed: 2000 rpm", "tachometers: { fans: one-of 3 }"), bench),
                1);
        assertEquals(
                List.of("shared-tachometer", "no-rated-speed"),
                left.results().findings().stream().map(NightFinding::kind).toList());
        assertEquals(
                "one tachometer is seen for 3 fans; what the others do is unknown",
                left.results().findings().get(0).text());
    }
}
