package org.plateaubench.engine;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.LocalTime;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Cooldown.Each;
import org.plateaubench.sample.Quality;

/** The engine alone, on a loop of one time constant: stages in order, and the table of events of the design. */
class EngineTest {

    private static final long LONG_ENOUGH = 40_000;

    @Test
    void goesThroughItsStagesInOrderAndEndsComplete() {
        ToyNight night = new ToyNight(ToyNight.plan());
        Command.End end = night.run(LONG_ENOUGH, n -> {});
        assertNotNull(end, "the night did not end");
        assertEquals(Exit.DONE, end.exit(), end.reason());
        List<String> pass = List.of("approach", "soak", "dwell");
        assertEquals(
                Stream.of(
                                List.of("pump-lock", "baseline", "cooldown"),
                                pass,
                                pass,
                                List.of("cooldown"),
                                pass,
                                pass,
                                List.of("baseline"))
                        .flatMap(List::stream)
                        .toList(),
                night.stages);
        assertEquals(4, night.decided("pass-done").size());
    }

    @Test
    void measuresEachStepAtItsSpeedAndItsRise() {
        ToyNight night = new ToyNight(ToyNight.plan());
        night.run(LONG_ENOUGH, n -> {});
        for (Decision done : night.decided("pass-done")) {
            double rpm = done.fields().get("step").equals("800 rpm") ? 800 : 1600;
            double truth = 20.0 * StrictMath.pow(1000.0 / rpm, 0.7);
            double rise = ((Number) done.fields().get("rise")).doubleValue();
            // Stopping at 2 K/h leaves 2/60 K at a time constant of one minute, and the speed is within 0.5 %.
            assertEquals(truth, rise, 0.034 + truth * 0.7 * 0.005, done.toString());
        }
    }

    @Test
    void balancedOrderRunsTheSecondBlockBackwards() {
        ToyNight night = new ToyNight(ToyNight.plan());
        night.run(LONG_ENOUGH, n -> {});
        List<Object> steps = night.decided("pass-done").stream()
                .map(d -> d.fields().get("step"))
                .toList();
        assertEquals(steps.get(0), steps.get(3));
        assertEquals(steps.get(1), steps.get(2));
    }

    @Test
    void heatIsOnlyOnFromSoakToTheNextCooldown() {
        ToyNight night = new ToyNight(ToyNight.plan());
        Command.End end = night.run(LONG_ENOUGH, n -> {
            String stage = n.engine().stage();
            if (stage.equals("soak") || stage.equals("dwell")) {
                assertTrue(n.heat, "no heat in " + stage + " at tick " + n.tick);
            }
            if (stage.equals("pump-lock") || stage.equals("baseline") || stage.equals("cooldown")) {
                assertFalse(n.heat, "heat in " + stage + " at tick " + n.tick);
            }
        });
        assertNotNull(end);
    }

    @Test
    void cooldownBeforeEachPassWhenThePlanSaysSo() {
        ToyNight night = new ToyNight(ToyNight.plan(Each.PASS, Optional.empty(), Optional.empty()));
        night.run(LONG_ENOUGH, n -> {});
        assertEquals(4, night.stages.stream().filter("cooldown"::equals).count());
    }

    @Test
    void withoutCooldownHeatStaysOnFromStepToStep() {
        ToyNight night = new ToyNight(ToyNight.plan(Each.NONE, Optional.empty(), Optional.empty()));
        night.run(LONG_ENOUGH, n -> {});
        assertEquals(
                1,
                night.commands.stream().filter(Command.HeatOn.class::isInstance).count());
        assertEquals(0, night.stages.stream().filter("cooldown"::equals).count());
    }

    @Test
    void aBlockThatDoesNotFitBeforeFinishByIsNotBegun() {
        // The start is 22:00; a block takes about 35 minutes, so the second does not fit.
        ToyNight night = new ToyNight(ToyNight.plan(Each.BLOCK, Optional.of(LocalTime.of(22, 50)), Optional.empty()));
        Command.End end = night.run(LONG_ENOUGH, n -> {});
        assertEquals(Exit.PASSES_MISSING, end.exit());
        assertEquals(2, night.decided("pass-done").size());
        assertEquals(1, night.decided("block-not-begun").size());
        assertTrue(night.tick < 50 * 60, "ended at tick " + night.tick);
    }

    @Test
    void theSameInputsGiveTheSameDecisions() {
        ToyNight one = new ToyNight(ToyNight.plan());
        ToyNight other = new ToyNight(ToyNight.plan());
        one.run(LONG_ENOUGH, n -> {});
        other.run(LONG_ENOUGH, n -> {});
        assertEquals(one.decisions, other.decisions);
        assertEquals(one.commands, other.commands);
    }

    @Test
    void driftOfTheReferenceSpoilsThePassesSinceTheLastGoodOne() {
        Measurement.Reference reference = new Measurement.Reference(new Measurement.Step.Speed(1200), 2, 0.4);
        ToyNight night = new ToyNight(ToyNight.plan(Each.NONE, Optional.empty(), Optional.of(reference)));
        AtomicInteger references = new AtomicInteger();
        Command.End end = night.run(LONG_ENOUGH, n -> {
            // After the first reference and the first pass the loop gets worse for good.
            if (n.decided("pass-done").size() == 2) {
                n.wattsPerKelvinRise = 8.0;
            }
            references.set(n.decided("reference").size());
        });
        assertEquals(Exit.DONE, end.exit(), end.reason());
        List<Decision> spoiled = night.decided("pass-spoiled");
        assertEquals(2, spoiled.size());
        assertTrue(spoiled.get(0).fields().get("reason").toString().startsWith("reference drifted by"));
        assertEquals(3, references.get());
    }

    /** One row of the table of events: what happens, and what must follow. */
    record Event(String name, Consumer<ToyNight> happens, Exit exit, String reason, int spoiledAtLeast) {
        @Override
        public String toString() {
            return name;
        }
    }

    /** Does something once, in the soak of the first pass, two minutes after it began. */
    private static Consumer<ToyNight> onceInSoak(Consumer<ToyNight> what) {
        AtomicInteger ticks = new AtomicInteger();
        return n -> {
            if (n.engine().stage().equals("soak") && ticks.incrementAndGet() == 120) {
                what.accept(n);
            }
        };
    }

    /** Does something during so many ticks of the first soak, and undoes it afterwards. */
    private static Consumer<ToyNight> during(int forTicks, Consumer<ToyNight> what, Consumer<ToyNight> undo) {
        AtomicInteger ticks = new AtomicInteger();
        return n -> {
            if (n.engine().stage().equals("soak") || ticks.get() >= 120) {
                int t = ticks.incrementAndGet();
                if (t == 120) {
                    what.accept(n);
                } else if (t == 120 + forTicks) {
                    undo.accept(n);
                }
            }
        };
    }

    static Stream<Event> events() {
        return Stream.of(
                new Event(
                        "operator",
                        onceInSoak(n -> n.send(new Input.Operator("A. Person"))),
                        Exit.ENDED_EARLY,
                        "ended by A. Person",
                        0),
                new Event(
                        "signal",
                        onceInSoak(n -> n.send(new Input.Signal("TERM"))),
                        Exit.ENDED_EARLY,
                        "signal TERM",
                        0),
                new Event("closed terminal", onceInSoak(n -> n.send(new Input.Signal("HUP"))), Exit.DONE, "", 0),
                new Event(
                        "disk full",
                        onceInSoak(n -> n.send(new Input.StorageFault("no space left"))),
                        Exit.ENDED_EARLY,
                        "the record cannot be written: no space left",
                        0),
                new Event(
                        "limit",
                        onceInSoak(n -> n.riseKelvin = 40),
                        Exit.ENDED_EARLY,
                        "limit: coolant above 55 °C for 3 s",
                        0),
                new Event(
                        "leak",
                        onceInSoak(n -> n.leakVolts = 3.0),
                        Exit.ENDED_EARLY,
                        "limit: leak above 1 V for 1 s",
                        0),
                new Event(
                        "one reading missing",
                        during(1, n -> n.coolantQuality = Quality.MISSING, n -> n.coolantQuality = Quality.GOOD),
                        Exit.DONE,
                        "",
                        0),
                new Event(
                        "coolant missing 6 s",
                        during(7, n -> n.coolantQuality = Quality.MISSING, n -> n.coolantQuality = Quality.GOOD),
                        Exit.DONE,
                        "no good reading of coolant for 5 s",
                        1),
                new Event(
                        "coolant missing for good",
                        onceInSoak(n -> n.coolantQuality = Quality.DEVICE_FAULT),
                        Exit.BENCH_FAULT,
                        "no good reading of coolant for 60 s",
                        1),
                new Event(
                        "frozen coolant",
                        n -> n.coolantFrozen =
                                n.coolantFrozen || n.engine().stage().equals("approach"),
                        Exit.BENCH_FAULT,
                        "coolant moved only 0.000 K in 3 min after the heat went on",
                        0),
                new Event(
                        "condition broken",
                        during(5, n -> n.clockMegahertz = 3000, n -> n.clockMegahertz = 4300),
                        Exit.DONE,
                        "condition broken: cpu-clock at 3000",
                        1),
                new Event(
                        "condition broken for 2 s",
                        during(2, n -> n.clockMegahertz = 3000, n -> n.clockMegahertz = 4300),
                        Exit.DONE,
                        "",
                        0),
                new Event(
                        "pump off speed",
                        during(6, n -> n.pumpFactor = 0.9, n -> n.pumpFactor = 1.0),
                        Exit.DONE,
                        "pump at 2430 rpm, locked to 2700 rpm within 2 %",
                        1),
                new Event(
                        "workload failed",
                        onceInSoak(n -> n.send(new Input.LoadNews(Input.LoadNews.Kind.FAILED, "exit status 2"))),
                        Exit.DONE,
                        "workload failed: exit status 2",
                        1),
                new Event("ambient step", onceInSoak(n -> n.ambientCelsius += 1.5), Exit.DONE, "ambient stepped by", 1),
                new Event(
                        "fan stands still",
                        onceInSoak(n -> n.fanStuck = true),
                        Exit.BENCH_FAULT,
                        "fan-1 stands still at",
                        0),
                new Event(
                        "outputs reset once",
                        onceInSoak(n -> n.fanDuty = 100.0),
                        Exit.DONE,
                        "fan-duty reads back 100 %",
                        1),
                new Event(
                        "outputs reset again and again",
                        n -> n.fanDuty = n.engine().stage().equals("soak") ? 100 : n.fanDuty,
                        Exit.BENCH_FAULT,
                        "the third time within an hour",
                        2),
                new Event(
                        "device gone for good",
                        onceInSoak(n -> n.send(new Input.DeviceNews("controller", Input.DeviceNews.Kind.GONE, ""))),
                        Exit.BENCH_FAULT,
                        "device controller gone for 60 s and not found again",
                        1),
                new Event(
                        "device gone and back",
                        during(
                                30,
                                n -> n.send(new Input.DeviceNews("controller", Input.DeviceNews.Kind.GONE, "")),
                                n -> n.send(new Input.DeviceNews("controller", Input.DeviceNews.Kind.BACK, ""))),
                        Exit.DONE,
                        "device controller gone",
                        1),
                new Event(
                        "another device answers",
                        onceInSoak(n -> n.send(
                                new Input.DeviceNews("controller", Input.DeviceNews.Kind.OTHER_IDENTITY, "OTHER,1"))),
                        Exit.BENCH_FAULT,
                        "device controller gone for 60 s",
                        1),
                new Event(
                        "heat cannot be switched off",
                        n -> n.refuseHeatOff = true,
                        Exit.BENCH_FAULT,
                        "heat could not be switched off: refused",
                        0),
                new Event(
                        "clock step in the soak",
                        onceInSoak(n -> n.send(new Input.ClockEvent("step", 3600))),
                        Exit.DONE,
                        "",
                        0),
                new Event(
                        "missed ticks",
                        n -> n.missed = n.engine().stage().equals("dwell")
                                        && n.tick % 20 == 0
                                        && n.decided("pass-spoiled").isEmpty()
                                ? 3
                                : 0,
                        Exit.DONE,
                        "late or missed ticks",
                        1));
    }

    @ParameterizedTest
    @MethodSource("events")
    void doesWhatTheTableOfEventsSays(Event event) {
        ToyNight night = new ToyNight(ToyNight.plan());
        Command.End end = night.run(LONG_ENOUGH, event.happens());
        assertNotNull(end, "the night did not end");
        assertEquals(event.exit(), end.exit(), end.reason());
        String reasons = end.reason() + night.decided("pass-spoiled");
        assertTrue(reasons.contains(event.reason()), reasons);
        int spoiled = night.decided("pass-spoiled").size();
        assertTrue(spoiled >= event.spoiledAtLeast(), "spoiled " + spoiled);
        if (event.spoiledAtLeast() == 0 && event.exit() == Exit.DONE) {
            assertEquals(0, spoiled, night.decided("pass-spoiled").toString());
        }
        if (event.exit() == Exit.DONE) {
            assertEquals(4, night.decided("pass-done").size());
        }
        assertFalse(night.heat, "heat is on after the end");
        assertEquals(event.name().equals("leak"), end.pumpOff());
    }

    @Test
    void aPassThatIsSpoiledThreeTimesIsGivenUpAndTheNightGoesOn() {
        ToyNight night = new ToyNight(ToyNight.plan());
        Command.End end = night.run(
                LONG_ENOUGH,
                n -> n.clockMegahertz =
                        n.engine().stage().equals("soak") && n.engine().pass().startsWith("1.1/") ? 3000 : 4300);
        assertEquals(Exit.PASSES_MISSING, end.exit(), end.reason());
        assertEquals(3, night.decided("pass-spoiled").size());
        assertEquals(1, night.decided("pass-given-up").size());
        assertEquals(3, night.decided("pass-done").size());
    }

    /** What a gap of two hours leaves: everything off or at full speed, the loop at rest. */
    private static void gap(ToyNight night) {
        night.heat = false;
        night.riseKelvin = 0.0;
        night.fanDuty = 100.0;
        night.pumpDuty = 100.0;
        night.missed = 7199;
        night.send(new Input.Resume(7200.0));
    }

    @ParameterizedTest
    @ValueSource(strings = {"pump-lock", "baseline", "cooldown", "approach", "soak", "dwell"})
    void afterAGapTheStageBeginsAgainWithThePumpLockedAnewAndThePassThatWasCutIsRepeated(String stage) {
        ToyNight night = new ToyNight(ToyNight.plan());
        AtomicInteger ticks = new AtomicInteger();
        Command.End end = night.run(LONG_ENOUGH, n -> {
            if (n.engine().stage().equals(stage) && ticks.incrementAndGet() == 3) {
                gap(n);
            }
        });
        assertNotNull(end, "the night did not end");
        assertEquals(Exit.DONE, end.exit(), end.reason());
        assertEquals(4, night.decided("pass-done").size());
        boolean inPass = List.of("approach", "soak", "dwell").contains(stage);
        List<Decision> spoiled = night.decided("pass-spoiled");
        assertEquals(inPass ? 1 : 0, spoiled.size());
        if (inPass) {
            assertEquals(
                    "resumed after a gap of 7200 s", spoiled.get(0).fields().get("reason"));
            assertEquals("1.1/1", spoiled.get(0).fields().get("pass"));
        }
        assertEquals(List.of(), night.decided("reset"), "what the bench was set to during the gap is no fault");
        int locked = night.decided("pump-locked").size();
        assertEquals(stage.equals("pump-lock") ? 1 : 2, locked);
    }

    @Test
    void aSoakThatNeverSettlesGoesOnMarked() {
        ToyNight night = new ToyNight(ToyNight.plan());
        night.run(LONG_ENOUGH, n -> {
            if (n.engine().stage().equals("soak")) {
                n.wattsPerKelvinRise *= 0.9999;
            }
        });
        assertTrue(night.decided("not-settled").stream()
                .anyMatch(d -> "soak".equals(d.fields().get("stage"))));
        assertFalse(night.decided("pass-done").isEmpty());
    }

    /** Whether the heat came is known only within some minutes, and no pass may be over by then. */
    @Test
    void aSoakLastsUntilTheCoolantHasFeltTheHeatWhateverThePlanAllows() {
        ToyNight night = new ToyNight(ToyNight.hastyPlan());
        night.wattsPerKelvinRise = 1e9;
        Command.End end = night.run(LONG_ENOUGH, n -> {});
        assertEquals(Exit.BENCH_FAULT, end.exit(), end.reason());
        assertTrue(end.reason().contains("the heat does not reach it"), end.reason());
        assertEquals(List.of(), night.decided("pass-done"));
        assertFalse(night.stages.contains("dwell"), night.stages.toString());
    }

    /** A supply that trips between two passes, where no heat flow is measured and no cooldown asks the coolant to answer. */
    @Test
    void aPassWithoutHeatDoesNotCountHoweverSettledItIs() {
        ToyNight night = new ToyNight(ToyNight.plan(Each.NONE, Optional.empty(), Optional.empty()));
        night.run(LONG_ENOUGH, n -> {
            if (!n.decided("pass-done").isEmpty()) {
                n.wattsPerKelvinRise = 1e9;
            }
        });
        assertEquals(1, night.decided("pass-done").size());
        assertTrue(
                night.decided("pass-spoiled").stream()
                        .anyMatch(d -> d.fields().get("reason").toString().endsWith("the heat was not there")),
                night.decided("pass-spoiled").toString());
    }
}
