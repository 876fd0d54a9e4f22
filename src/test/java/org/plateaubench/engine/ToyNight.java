package org.plateaubench.engine;

import java.time.LocalDate;
import java.time.LocalTime;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.function.Consumer;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.Commissioning;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.plan.FansFile;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Cooldown.Each;
import org.plateaubench.plan.Plan;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.sample.Sample;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/**
 * A loop of one time constant, for driving the engine without a bench: what it commands is done at once, what it reads
 * is exact. Each tick the test may spoil what is read or add inputs.
 */
final class ToyNight {

    static final double TAU_SECONDS = 60.0;

    double ambientCelsius = 22.0;
    double riseKelvin = 0.0;
    double fanDuty = 100.0;
    double pumpDuty = 100.0;
    boolean heat;
    double wattsPerKelvinRise = 10.0;
    long tick;
    int missed;
    long lateMillis;
    Quality coolantQuality = Quality.GOOD;
    boolean coolantFrozen;
    boolean fanStuck;
    double pumpFactor = 1.0;
    double clockMegahertz = 4300.0;
    double leakVolts = 0.0;
    boolean refuseHeatOff;

    final List<Command> commands = new ArrayList<>();
    final List<Decision> decisions = new ArrayList<>();
    final List<String> stages = new ArrayList<>();
    final List<Boolean> heatAtStage = new ArrayList<>();
    private final List<Input> next = new ArrayList<>();
    private final Engine engine;
    private double frozenCelsius = Double.NaN;

    ToyNight(Plan plan) {
        this(plan, bench());
    }

    ToyNight(Plan plan, BenchFile bench) {
        engine = new Engine(new Input.Header(
                plan,
                fans(),
                bench,
                OffsetDateTime.parse("2026-11-24T22:00:00+01:00"),
                Optional.empty(),
                Optional.empty()));
    }

    Engine engine() {
        return engine;
    }

    void send(Input input) {
        next.add(input);
    }

    /** Runs until the engine ends or the ticks are used up; calls back before each tick. */
    Command.End run(long mostTicks, Consumer<ToyNight> beforeTick) {
        for (long i = 0; i < mostTicks; i++) {
            beforeTick.accept(this);
            Command.End end = tick();
            if (end != null) {
                return end;
            }
        }
        return null;
    }

    Command.End tick() {
        tick += missed;
        for (Input input : next) {
            engine.step(input);
        }
        next.clear();
        if (stages.isEmpty() || !stages.get(stages.size() - 1).equals(engine.stage())) {
            stages.add(engine.stage());
            heatAtStage.add(heat);
        }
        Engine.Outcome outcome = engine.step(new Input.Tick(sample()));
        missed = 0;
        decisions.addAll(outcome.decisions());
        Command.End end = null;
        for (Command command : outcome.commands()) {
            commands.add(command);
            if (command instanceof Command.SetDuty set) {
                if (set.actuator().equals(BenchFile.FAN_DUTY)) {
                    fanDuty = set.percent();
                } else {
                    pumpDuty = set.percent();
                }
                next.add(new Input.CommandResult(set.actuator(), "", true, "", ""));
            } else if (command instanceof Command.HeatOn) {
                heat = true;
                next.add(new Input.CommandResult("heat", "on", true, "", ""));
            } else if (command instanceof Command.HeatOff) {
                heat = refuseHeatOff && heat;
                next.add(new Input.CommandResult("heat", "off", !heat, "", heat ? "refused" : ""));
            } else if (command instanceof Command.End e) {
                heat = false;
                end = e;
            }
        }
        double target =
                heat ? 200.0 / wattsPerKelvinRise * StrictMath.pow(1000.0 / Math.max(fanRpm(), 200.0), 0.7) : 0.0;
        riseKelvin += (target - riseKelvin) * (1 - StrictMath.exp(-1.0 / TAU_SECONDS));
        tick++;
        return end;
    }

    private double fanRpm() {
        return fanStuck ? 0.0 : 2000.0 * fanDuty / 100.0;
    }

    private Sample sample() {
        double coolant = ambientCelsius + riseKelvin;
        if (coolantFrozen && Double.isNaN(frozenCelsius)) {
            frozenCelsius = coolant;
        }
        List<Reading> readings = List.of(
                Reading.of(ambientCelsius, Unit.CELSIUS, Quality.GOOD),
                coolantQuality == Quality.GOOD
                        ? Reading.of(coolantFrozen ? frozenCelsius : coolant, Unit.CELSIUS, Quality.GOOD)
                        : Reading.none(coolantQuality),
                Reading.of(fanRpm(), Unit.RPM, Quality.GOOD),
                Reading.of(30.0 * pumpDuty * pumpFactor, Unit.RPM, Quality.GOOD),
                Reading.of(clockMegahertz, Unit.MEGAHERTZ, Quality.GOOD),
                Reading.of(leakVolts, Unit.VOLT, Quality.GOOD),
                Reading.of(fanDuty, Unit.PERCENT, Quality.GOOD),
                Reading.of(pumpDuty, Unit.PERCENT, Quality.GOOD));
        return new Sample(tick, tick * 1000 + lateMillis, missed, readings);
    }

    static FansFile fans() {
        return new FansFile(
                "T",
                List.of("T-1"),
                Optional.empty(),
                Optional.empty(),
                new FansFile.Mount(1, Optional.empty(), Optional.empty()),
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                OptionalInt.empty());
    }

    static BenchFile bench() {
        return new BenchFile(
                "toy",
                List.of(),
                List.of(new DeviceSpec.Serial(
                        "controller",
                        "none",
                        38400,
                        DeviceSpec.Dialect.SCPI,
                        "\n",
                        Optional.empty(),
                        300,
                        OptionalDouble.of(10))),
                List.of(
                        channel("ambient", Unit.CELSIUS),
                        channel("coolant", Unit.CELSIUS),
                        channel("fan-1", Unit.RPM),
                        channel("pump", Unit.RPM),
                        channel("cpu-clock", Unit.MEGAHERTZ),
                        channel("leak", Unit.VOLT)),
                List.of(new BenchFile.Group("fans", List.of("fan-1"))),
                List.of(
                        new ActuatorSpec("fan-duty", "controller", "F {percent}", Optional.of("F?"), 100),
                        new ActuatorSpec("pump-duty", "controller", "P {percent}", Optional.of("P?"), 100)),
                List.of(),
                Optional.empty(),
                List.of(
                        new Limit("coolant", Limit.Side.ABOVE, new Quantity(55, Unit.CELSIUS), 3, false),
                        new Limit("pump", Limit.Side.BELOW, new Quantity(2000, Unit.RPM), 3, false),
                        new Limit("leak", Limit.Side.ABOVE, new Quantity(1, Unit.VOLT), 1, true)),
                Optional.of(new Commissioning(
                        TAU_SECONDS, TAU_SECONDS, OptionalDouble.empty(), LocalDate.of(2026, 11, 20))),
                Optional.empty());
    }

    private static ChannelSpec channel(String name, Unit unit) {
        return new ChannelSpec(
                name,
                "controller",
                new ChannelSpec.Source.Ask(name + "?", Optional.empty()),
                unit,
                OptionalInt.empty(),
                0.0,
                Optional.empty(),
                Optional.empty(),
                Optional.empty(),
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                Optional.empty());
    }

    /** Two speeds, two repeats, short windows. */
    static Plan plan(Each each, Optional<LocalTime> finishBy, Optional<Measurement.Reference> reference) {
        return plan(each, finishBy, reference, 1800, 60);
    }

    private static Plan plan(
            Each each,
            Optional<LocalTime> finishBy,
            Optional<Measurement.Reference> reference,
            double soakAtMostSeconds,
            double dwellSeconds) {
        Measurement.Settle settle = new Measurement.Settle(2.0, 120, 10, OptionalDouble.empty());
        return new Plan(
                "toy night",
                "test",
                1.0,
                finishBy,
                new Plan.PumpLock(2700, 2, 5),
                List.of(new Plan.Condition.Near("cpu-clock", 4300, 1)),
                Optional.of(new HeatDemand.Workload("work", 0)),
                List.of(new Measurement.Thermal(
                        new Measurement.Cooldown(each, 60, settle, 0.5, 60, 1800),
                        new Measurement.Soak(settle, 60, soakAtMostSeconds),
                        dwellSeconds,
                        List.of(new Measurement.Step.Speed(800), new Measurement.Step.Speed(1600)),
                        2,
                        new Measurement.Order(Measurement.Order.Kind.BALANCED, 7),
                        reference)),
                List.of());
    }

    static Plan plan() {
        return plan(Each.BLOCK, Optional.empty(), Optional.empty());
    }

    /** One whose passes may be over two minutes after the heat came on. */
    static Plan hastyPlan() {
        return plan(Each.BLOCK, Optional.empty(), Optional.empty(), 90, 30);
    }

    List<Decision> decided(String type) {
        return decisions.stream().filter(d -> d.type().equals(type)).toList();
    }
}
