package org.plateaubench.bench.load;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.units.Decimals;

/** Regression: the loads of a bench, chosen by demand. */
class LoadsTest {

    private static final HeatDemand SUPPLY_AT_200 = new HeatDemand.Power(200);

    @TempDir
    Path folder;

    private final List<Double> watts = new ArrayList<>();

    private SetResult supply(double setWatts) {
        watts.add(setWatts);
        return new SetResult("supply", "", true, Decimals.fixed(setWatts, 2) + " W", "");
    }

    @Test
    void aSupplyIsSetToItsPowerAndToNothing() {
        try (Loads loads = new Loads(Benches.withSupply(), () -> folder, this::supply)) {
            assertEquals(new SetResult("heat", "supply at 200 W", true, "200.00 W", ""), loads.on(SUPPLY_AT_200));

            SetResult off = loads.off();

            assertEquals(new SetResult("heat", "off", true, "nothing was running; 0.00 W", ""), off);
            assertEquals(List.of(200.0, 0.0), watts);
        }
    }

    @Test
    void aSupplyThatDoesNotTakeItsPowerIsNotDone() {
        SupplyLoad load = new SupplyLoad(w -> new SetResult("supply", "", false, "12.00 W", ""));

        assertEquals(new SetResult("heat", "off", false, "12.00 W", "the supply did not take 0 W"), load.off());
        assertFalse(load.on(new HeatDemand.Power(0)).done());
        assertFalse(load.on(new HeatDemand.Processor(50)).done());
    }

    @Test
    void refusesASupplyThatTheBenchLacks() {
        try (Loads loads = new Loads(Benches.withWorkload(List.of("true")), () -> folder, this::supply)) {
            assertEquals(
                    "the bench file declares no supply; give it one, or ask for a workload",
                    loads.on(SUPPLY_AT_200).detail());
            loads.off();
            assertEquals(List.of(), watts);
        }
    }

    @Test
    void anotherLoadIsSwitchedOnOnlyAfterTheOneBeforeIsOff() {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
        List<Long> localWhileSupplyIsSet = new ArrayList<>();
        try (Loads loads = new Loads(Benches.withSupply(), () -> folder, w -> {
            localWhileSupplyIsSet.addAll(Processes.with(folder.toString()));
            return supply(w);
        })) {
            assertTrue(loads.on(new HeatDemand.Processor(10)).done());
            assertEquals(1, Processes.with(folder.toString()).size());

            assertTrue(loads.on(SUPPLY_AT_200).done());
            assertEquals(List.of(), localWhileSupplyIsSet);

            assertTrue(loads.on(new HeatDemand.Processor(10)).done());
            assertEquals(List.of(200.0, 0.0), watts);
        }
    }

    @Test
    void switchingOffWinsOverSwitchingOnThatIsUnderWay() {
        List<Loads> self = new ArrayList<>();
        try (Loads loads = new Loads(Benches.withSupply(), () -> folder, w -> {
            if (w > 0) {
                self.get(0).off();
            }
            return supply(w);
        })) {
            self.add(loads);

            SetResult on = loads.on(SUPPLY_AT_200);

            assertFalse(on.done());
            assertEquals("it was switched off meanwhile", on.detail());
            assertEquals(List.of(0.0, 200.0, 0.0), watts);
        }
    }

    @Test
    void processorThreadsDeliverAShareThatIsMeasured() throws Exception {
        try (ProcessorLoad load = new ProcessorLoad(() -> folder)) {
            SetResult on = load.on(new HeatDemand.Processor(50));
            assertTrue(on.done(), on::toString);
            Path log = folder.resolve("load-1.log");
            assertTrue(Processes.within(4_000, () -> {
                load.renew();
                return read(log).contains("delivered");
            }));

            SetResult off = load.off();

            assertTrue(off.done(), off::toString);
            Matcher delivered = Pattern.compile(
                            "nothing is left; last output: delivered ([0-9.]+) % of [0-9]+ processors")
                    .matcher(off.readback());
            assertTrue(delivered.matches(), off::readback);
            double percent = Double.parseDouble(delivered.group(1));
            // The rest may have gone to others; more than was asked for is only what 100 ms of catching up can bring.
            assertTrue(percent > 1 && percent <= 61, off::readback);
            assertEquals(List.of(new LoadEvent(LoadEvent.Kind.STARTED, "run 1")), load.events());
        }
    }

    @Test
    void refusesSharesThatNoProcessorHas() {
        try (ProcessorLoad load = new ProcessorLoad(() -> folder)) {
            assertEquals(
                    "the share must be above 0 % and at most 100 %",
                    load.on(new HeatDemand.Processor(101)).detail());
        }
    }

    private static String read(Path file) {
        try {
            return Files.exists(file) ? Files.readString(file) : "";
        } catch (java.io.IOException e) {
            throw new IllegalStateException(e);
        }
    }
}
