package org.plateaubench.plan;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.regex.Pattern;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.LimitReader;
import org.plateaubench.plan.Measurement.Cooldown;
import org.plateaubench.plan.Measurement.Order;
import org.plateaubench.plan.Measurement.Reference;
import org.plateaubench.plan.Measurement.Settle;
import org.plateaubench.plan.Measurement.Soak;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.plan.Plan.Condition;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.Draft;
import org.plateaubench.problem.Keys;
import org.plateaubench.problem.Need;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.SourceText;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Quantity;

/** Reads a plan and checks it by itself; {@link NightFiles} checks it against the bench. */
public final class PlanReader {

    private static final Pattern PASSES = Pattern.compile("([1-9][0-9]{0,2}) pass(?:es)?");

    private static final Need SAMPLE_EVERY = Need.between("0.1 s", "10 s");
    private static final Need SPEED = Need.between("100 rpm", "10000 rpm");
    private static final Need DUTY = Need.between("0 %", "100 %");
    private static final Need DUTY_STEP = Need.between("1 %", "50 %");
    private static final Need TOLERANCE = Need.between("0.1 %", "20 %");
    private static final Need HOLD = Need.between("0 s", "1 h");
    private static final Need SHORT_TIME = Need.between("1 s", "1 h");
    private static final Need LISTEN = Need.between("10 s", "1 h");
    private static final Need GUST_BLOCK = Need.between("1 s", "1 min");
    private static final Need GUST_GUARD = Need.between("0 s", "1 min");
    private static final Need WINDOW = Need.between("10 s", "3 h");
    private static final Need SHORTEST = Need.between("0 s", "6 h");
    private static final Need LONGEST = Need.between("1 min", "12 h");
    private static final Need SLOPE = Need.between("0.05 K/h", "60 K/h");
    private static final Need BAND = Need.between("0.05 K", "10 K");
    private static final Need LEVEL = Need.between("0 dB", "100 dB");
    private static final Need LEVEL_BAND = Need.between("0.05 dB", "20 dB");
    private static final Need POWER = Need.between("1 W", "2000 W");
    private static final Need SHARE = Need.between("1 %", "100 %");
    private static final int MOST_RUNS = 1000;
    private static final int MOST_REPEATS = 100;

    /** Stands in for a step that could not be read, so that the others keep their places. */
    private static final Step UNREAD_STEP = new Step.Speed(Double.NaN);

    private final Problems problems;
    private final Keys plan;

    private PlanReader(Yaml root, Problems problems) {
        this.problems = problems;
        this.plan = Keys.of(root, problems, "title: First night");
    }

    /**
     * Reads a plan.
     *
     * @param source its text
     * @return the plan, or all problems
     */
    public static Parsed<Plan> read(SourceText source) {
        return draft(source).parsed();
    }

    static Draft<Plan> draft(SourceText source) {
        Document document = Document.of(source);
        Optional<Plan> plan = document.root().map(root -> new PlanReader(root, document.problems()).plan());
        plan.ifPresent(p -> PlanChecks.check(p, document));
        return new Draft<>(document, plan);
    }

    private Plan plan() {
        Plan read = new Plan(
                plan.text("title", "First night"),
                plan.text("purpose", "How cool does the set keep the loop?"),
                plan.quantity("sample-every", SAMPLE_EVERY),
                plan.optionalClockTime("finish-by"),
                pumpLock(),
                conditions(),
                plan.optionalKeys("heat", "{ power: 200 W }").flatMap(this::heat),
                measurements(),
                LimitReader.read(plan, false));
        plan.done();
        return read;
    }

    private Plan.PumpLock pumpLock() {
        Optional<Keys> keys = plan.keys("pump-lock", "{ speed: 2700 rpm, within: 2 %, for: 10 s }");
        Plan.PumpLock lock = new Plan.PumpLock(
                quantity(keys, "speed", SPEED), quantity(keys, "within", TOLERANCE), quantity(keys, "for", HOLD));
        keys.ifPresent(Keys::done);
        return lock;
    }

    private static double quantity(Optional<Keys> keys, String key, Need need) {
        return keys.map(k -> k.quantity(key, need)).orElse(Double.NaN);
    }

    // ---- conditions and heat

    private List<Condition> conditions() {
        List<Condition> conditions = new ArrayList<>();
        String example = "{ channel: cpu-clock, at: 4300 MHz, within: 1 % }";
        for (Yaml item : plan.optionalList("conditions", "[" + example + "]")) {
            Keys keys = plan.part(item, example);
            String channel = keys.text("channel", "cpu-clock");
            Optional<String> kind = keys.exactlyOne(List.of("at", "unchanged"));
            boolean near = kind.orElse("").equals("at");
            Optional<Quantity> at = near ? keys.anyQuantity("at", "4300 MHz") : Optional.empty();
            double within = near ? keys.quantity("within", TOLERANCE) : Double.NaN;
            keys.optionalChoice("unchanged", List.of("true"), w -> w);
            if (near) {
                conditions.add(
                        new Condition.Near(channel, at.map(Quantity::inBase).orElse(Double.NaN), within));
            } else {
                conditions.add(new Condition.Unchanged(channel));
            }
            keys.done();
        }
        return conditions;
    }

    private Optional<HeatDemand> heat(Keys keys) {
        Optional<HeatDemand> heat = keys.exactlyOne(List.of("workload", "power", "processor"))
                .map(kind -> switch (kind) {
                    case "workload" ->
                        new HeatDemand.Workload(
                                keys.text("workload", "compile"),
                                keys.optionalCount("at-least-runs", 0, MOST_RUNS)
                                        .orElse(0));
                    case "power" -> new HeatDemand.Power(keys.quantity("power", POWER));
                    default -> new HeatDemand.Processor(keys.quantity("processor", SHARE));
                });
        if (heat.isPresent() && !(heat.get() instanceof HeatDemand.Workload)) {
            keys.find("at-least-runs")
                    .ifPresent(v -> problems.add(
                            v,
                            ProblemCode.KEYS_EXCLUDE,
                            "only a workload has runs",
                            "at-least-runs without workload",
                            "no at-least-runs here"));
        }
        keys.done();
        return heat;
    }

    // ---- measurements

    private List<Measurement> measurements() {
        List<Measurement> measurements = new ArrayList<>();
        String example = "{ thermal: { ... } }";
        for (Yaml item : plan.list("measurements", "[" + example + "]")) {
            Keys keys = plan.part(item, example);
            keys.exactlyOne(List.of("characterise", "acoustic", "thermal"))
                    .flatMap(kind -> keys.keys(kind, "{ ... }").map(part -> switch (kind) {
                        case "characterise" -> characterise(part);
                        case "acoustic" -> acoustic(part);
                        default -> thermal(part);
                    }))
                    .ifPresent(measurements::add);
            keys.done();
        }
        return measurements;
    }

    private static Measurement characterise(Keys keys) {
        Measurement.Characterise read = new Measurement.Characterise(
                keys.quantity("from", DUTY),
                keys.quantity("to", DUTY),
                keys.quantity("by", DUTY_STEP),
                keys.quantity("settle", SHORT_TIME),
                keys.count("sweeps", 1, 20),
                keys.count("starts", 1, 50));
        keys.done();
        return read;
    }

    private static Measurement acoustic(Keys keys) {
        List<Double> speeds = new ArrayList<>();
        for (Yaml item : keys.list("speeds", "[700 rpm, 900 rpm, 1100 rpm]")) {
            speeds.add(keys.quantityOf(item, SPEED).map(Quantity::inBase).orElse(Double.NaN));
        }
        double listen = keys.quantity("listen", LISTEN);
        Optional<Keys> background = keys.keys("background", "{ listen: 1 min, drift: 0.5 dB }");
        Measurement.Acoustic read = new Measurement.Acoustic(
                speeds,
                listen,
                quantity(background, "listen", LISTEN),
                quantity(background, "drift", LEVEL_BAND),
                keys.optionalKeys("gusts", "{ block: 1 s, above: 2 dB, guard: 2 s, at-most: 50 % }")
                        .map(PlanReader::gusts)
                        .orElse(Measurement.Gusts.USUAL),
                keys.optionalClockTime("not-before"));
        background.ifPresent(Keys::done);
        keys.done();
        return read;
    }

    private static Measurement.Gusts gusts(Keys keys) {
        Measurement.Gusts read = new Measurement.Gusts(
                keys.quantity("block", GUST_BLOCK),
                keys.quantity("above", LEVEL_BAND),
                keys.quantity("guard", GUST_GUARD),
                keys.quantity("at-most", SHARE));
        keys.done();
        return read;
    }

    private static Measurement thermal(Keys keys) {
        Measurement.Thermal read = new Measurement.Thermal(
                cooldown(keys.keys("cooldown", "{ each: block, duty: 60 %, ... }")),
                soak(keys.keys("soak", "{ until: { ... }, at-least: 10 min, at-most: 75 min }")),
                dwellSeconds(keys.keys("dwell", "{ average: 10 min }")),
                steps(keys),
                keys.count("repeats", 1, MOST_REPEATS),
                order(keys.keys("order", "{ kind: balanced, seed: 7 }")),
                keys.optionalKeys("reference", "{ step: { speed: 1100 rpm }, every: 4 passes, drift: 0.4 K }")
                        .map(PlanReader::reference));
        keys.done();
        return read;
    }

    private static double dwellSeconds(Optional<Keys> keys) {
        double seconds = quantity(keys, "average", WINDOW);
        keys.ifPresent(Keys::done);
        return seconds;
    }

    private static Cooldown cooldown(Optional<Keys> keys) {
        Cooldown read = new Cooldown(
                keys.flatMap(k -> k.choice("each", List.of(Cooldown.Each.values()), Keys::word))
                        .orElse(Cooldown.Each.NONE),
                quantity(keys, "duty", DUTY),
                settle(keys, false),
                quantity(keys, "within-baseline", BAND),
                quantity(keys, "at-least", SHORTEST),
                quantity(keys, "at-most", LONGEST));
        keys.ifPresent(Keys::done);
        return read;
    }

    private static Soak soak(Optional<Keys> keys) {
        Soak read =
                new Soak(settle(keys, true), quantity(keys, "at-least", SHORTEST), quantity(keys, "at-most", LONGEST));
        keys.ifPresent(Keys::done);
        return read;
    }

    private static Settle settle(Optional<Keys> parent, boolean underHeat) {
        Optional<Keys> keys = parent.flatMap(k -> k.keys("until", "{ slope: 1 K/h, window: 15 min, for: 2 min }"));
        Settle read = new Settle(
                quantity(keys, "slope", SLOPE),
                quantity(keys, "window", WINDOW),
                quantity(keys, "for", HOLD),
                underHeat
                        ? keys.map(k -> k.optionalQuantity("remaining-rise", BAND))
                                .orElse(OptionalDouble.empty())
                        : OptionalDouble.empty());
        keys.ifPresent(Keys::done);
        return read;
    }

    private static List<Step> steps(Keys keys) {
        String example = "{ speed: 700 rpm }";
        List<Step> steps = new ArrayList<>();
        for (Yaml item : keys.list("steps", "[" + example + "]")) {
            steps.add(step(keys.part(item, example)));
        }
        return steps;
    }

    private static Step step(Keys keys) {
        Step step = keys.exactlyOne(List.of("speed", "duty", "own-level", "above-background"))
                .<Step>map(kind -> switch (kind) {
                    case "speed" -> new Step.Speed(keys.quantity(kind, SPEED));
                    case "duty" -> new Step.Duty(keys.quantity(kind, DUTY));
                    case "own-level" -> new Step.OwnLevel(keys.quantity(kind, LEVEL));
                    default -> new Step.AboveBackground(keys.quantity(kind, LEVEL_BAND));
                })
                .orElse(UNREAD_STEP);
        keys.done();
        return step;
    }

    private static Order order(Optional<Keys> keys) {
        Order.Kind kind = keys.flatMap(k -> k.choice("kind", List.of(Order.Kind.values()), Keys::word))
                .orElse(Order.Kind.AS_WRITTEN);
        long seed = 0;
        if (keys.isPresent() && (kind != Order.Kind.AS_WRITTEN || keys.get().has("seed"))) {
            seed = keys.get().seed("seed");
        }
        keys.ifPresent(Keys::done);
        return new Order(kind, seed);
    }

    private static Reference reference(Keys keys) {
        Step step =
                keys.keys("step", "{ speed: 1100 rpm }").map(PlanReader::step).orElse(UNREAD_STEP);
        keys.required("every", "4 passes");
        int every = keys.matched("every", PASSES, "4 passes")
                .map(m -> Integer.parseInt(m.group(1)))
                .orElse(1);
        double drift = keys.quantity("drift", BAND);
        keys.done();
        return new Reference(step, every, drift);
    }
}
