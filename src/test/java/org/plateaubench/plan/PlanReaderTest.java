package org.plateaubench.plan;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.time.LocalTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.plan.Measurement.Acoustic;
import org.plateaubench.plan.Measurement.Characterise;
import org.plateaubench.plan.Measurement.Cooldown;
import org.plateaubench.plan.Measurement.Order;
import org.plateaubench.plan.Measurement.Reference;
import org.plateaubench.plan.Measurement.Settle;
import org.plateaubench.plan.Measurement.Soak;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.plan.Measurement.Thermal;
import org.plateaubench.plan.Plan.Condition;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

class PlanReaderTest {

    private static Plan read(String file) {
        return PlanReader.read(TestFiles.valid(file)).value().orElseThrow();
    }

    @Test
    void everyKeyBecomesItsValueInTheBaseUnit() {
        Settle cool = new Settle(1, 600, 120, OptionalDouble.empty());
        Settle heat = new Settle(1, 900, 120, OptionalDouble.of(0.2));
        Thermal thermal = new Thermal(
                new Cooldown(Cooldown.Each.PASS, 60, cool, 0.5, 300, 3600),
                new Soak(heat, 600, 4500),
                600,
                List.of(new Step.Speed(700), new Step.OwnLevel(24), new Step.AboveBackground(2), new Step.Duty(100)),
                3,
                new Order(Order.Kind.SHUFFLED, 7),
                Optional.of(new Reference(new Step.Speed(1100), 4, 0.4)));
        Plan expected = new Plan(
                "Everything",
                "How cool does a fan set keep the loop at equal noise?",
                1,
                Optional.of(LocalTime.of(7, 30)),
                new Plan.PumpLock(2700, 2, 10),
                List.of(new Condition.Near("cpu-clock", 4300, 1), new Condition.Unchanged("throttle-count")),
                Optional.of(new HeatDemand.Workload("compile", 4)),
                List.of(
                        new Characterise(0, 100, 5, 10, 2, 5),
                        new Acoustic(
                                List.of(700.0, 900.0, 1100.0, 1300.0, 1500.0, 1700.0, 1900.0),
                                120,
                                60,
                                0.5,
                                Measurement.Gusts.USUAL,
                                Optional.of(LocalTime.of(1, 0))),
                        thermal),
                List.of(
                        new Limit("coolant", Limit.Side.ABOVE, new Quantity(50, Unit.CELSIUS), 3, false),
                        new Limit("pump", Limit.Side.BELOW, new Quantity(2500, Unit.RPM), 3, false)));
        assertEquals(expected, read("everything-plan.yaml"));
    }

    @Test
    void otherKindsOfHeatAndUnitsAreRead() {
        Plan supply = read("supply-plan.yaml");
        assertEquals(Optional.of(new HeatDemand.Power(200)), supply.heat());
        assertEquals(Optional.empty(), supply.finishBy());
        assertEquals(1.2, supply.thermal().orElseThrow().soak().until().slopeKelvinPerHour(), 1e-12);
        assertEquals(5400, supply.thermal().orElseThrow().soak().atMostSeconds());
        assertEquals(
                new Order(Order.Kind.AS_WRITTEN, 0),
                supply.thermal().orElseThrow().order());
        assertEquals(1, supply.thermal().orElseThrow().reference().orElseThrow().everyPasses());
        Plan processor = read("processor-plan.yaml");
        assertEquals(Optional.of(new HeatDemand.Processor(100)), processor.heat());
        assertEquals(0.5, processor.sampleEverySeconds());
    }

    @Test
    void fansFileIsRead() {
        FansFile expected = new FansFile(
                "A",
                List.of("A-1", "A-2", "A-3"),
                Optional.of("invented demo set"),
                Optional.of("as delivered"),
                new FansFile.Mount(2, Optional.of("push"), Optional.of("M3 x 30")),
                OptionalDouble.of(24),
                OptionalDouble.of(2000),
                java.util.OptionalInt.of(3));
        assertEquals(
                expected,
                FansFileReader.read(TestFiles.valid("everything-fans.yaml"))
                        .value()
                        .orElseThrow());
    }
}
