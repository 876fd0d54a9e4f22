package org.plateaubench.plan;

import java.time.OffsetDateTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.benchfile.LimitReader;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.benchfile.WorkloadSpec;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.plan.Measurement.Thermal;
import org.plateaubench.plan.Plan.Condition;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.Draft;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/**
 * Checks between plan, fans file and bench file. What is in doubt by an earlier problem is not judged again; a
 * comparison with NaN, the stand-in for a number that could not be read, is never true.
 */
final class NightChecks {

    private static final double LONGEST_REAL_SAMPLE_SECONDS = 2.0;

    private final Plan plan;
    private final Yaml root;
    private final Problems problems;
    private final BenchFile bench;
    private final Problems benchProblems;
    private final List<Limit> limits;
    private final List<Limit> limitsOfFans;

    private NightChecks(Draft<Plan> plan, Draft<BenchFile> bench) {
        this.plan = plan.value().orElseThrow();
        this.root = plan.document().root().orElseThrow();
        this.problems = plan.document().problems();
        this.bench = bench.value().orElseThrow();
        this.benchProblems = bench.document().problems();
        this.limits = this.plan.limitsOn(this.bench);
        List<String> fans = this.bench.group(BenchFile.FANS);
        this.limitsOfFans = limits.stream()
                .filter(l -> fans.contains(l.channel()) && l.threshold().unit() == Unit.RPM)
                .toList();
    }

    static void check(Draft<Plan> plan, Draft<FansFile> fans, Draft<BenchFile> bench) {
        if (fans.value().isPresent() && bench.value().isPresent()) {
            fans(fans, bench);
        }
        if (plan.value().isEmpty() || bench.value().isEmpty()) {
            return;
        }
        NightChecks checks = new NightChecks(plan, bench);
        checks.sampling();
        checks.pump();
        for (int i = 0; i < checks.plan.conditions().size(); i++) {
            checks.condition(i);
        }
        checks.heat();
        checks.limits();
        if (!checks.benchProblems.within("limits") && !checks.benchProblems.within("channels")) {
            checks.coolantLimit();
        }
        checks.sound();
        fans.value().ifPresent(f -> checks.speeds(checks.fastest(f.set())));
        checks.bench.simulation().ifPresent(s -> finishBy(plan, s.start()));
    }

    // ---- fans file

    private static void fans(Draft<FansFile> draft, Draft<BenchFile> bench) {
        FansFile fans = draft.value().orElseThrow();
        Document file = draft.document();
        Yaml root = file.root().orElseThrow();
        List<String> sets =
                bench.value().orElseThrow().simulation().map(SimulationSpec::sets).orElse(List.of()).stream()
                        .map(SimulationSpec.FanSetTruth::set)
                        .toList();
        boolean benchRead = !bench.document().problems().within("simulation");
        if (benchRead
                && !sets.isEmpty()
                && !sets.contains(fans.set())
                && !fans.set().isEmpty()) {
            file.problems()
                    .unknownName(
                            root.at("set"),
                            ProblemCode.FANS_DO_NOT_FIT,
                            "the simulated bench has no fan set ",
                            fans.set(),
                            sets);
        }
        int seen = bench.value().orElseThrow().group(BenchFile.FANS).size();
        int mounted = fans.specimens().size();
        boolean unsure = bench.document().problems().within("groups")
                || seen == 0
                || mounted == 0
                || file.problems().within("tachometers");
        if (unsure) {
            return;
        }
        String channels = seen == 1 ? "1 channel" : seen + " channels";
        if (fans.sharedTachometerOf().isEmpty() && seen < mounted) {
            file.problems()
                    .addIn(
                            root.at("specimens").head(),
                            root,
                            ProblemCode.FANS_DO_NOT_FIT,
                            "the bench sees fewer fans than are mounted",
                            mounted + " specimens, but the bench's group fans has " + channels,
                            seen == 1
                                    ? "tachometers: { fans: one-of " + mounted + " }, which says so"
                                    : "a channel for each fan in the bench's group fans");
        } else if (fans.sharedTachometerOf().isPresent()
                && (seen != 1 || fans.sharedTachometerOf().getAsInt() != mounted)) {
            file.problems()
                    .conflict(
                            root.at("tachometers", "fans"),
                            ProblemCode.FANS_DO_NOT_FIT,
                            seen == 1
                                    ? "the number of fans differs from the number of specimens, " + mounted
                                    : "the bench's group fans has " + channels,
                            seen == 1 ? "one-of " + mounted : "no tachometers here, or one channel in the group");
        }
    }

    // ---- plan against bench

    private void sampling() {
        if (bench.simulation().isEmpty()
                && !benchProblems.within("simulation")
                && plan.sampleEverySeconds() > LONGEST_REAL_SAMPLE_SECONDS) {
            problems.conflict(
                    root.at("sample-every"),
                    ProblemCode.SAMPLE_EVERY,
                    "a real bench is sampled more often",
                    "0.1 s to 2 s (to 10 s on a simulated bench)");
        }
        Optional<DeviceSpec.Serial> slowest = bench.devices().stream()
                .filter(DeviceSpec.Serial.class::isInstance)
                .map(DeviceSpec.Serial.class::cast)
                .max((a, b) -> Integer.compare(a.timeoutMillis(), b.timeoutMillis()));
        if (slowest.isPresent() && slowest.get().timeoutMillis() >= plan.sampleEverySeconds() * 1000.0) {
            String device = slowest.get().name();
            problems.conflict(
                    root.at("sample-every"),
                    ProblemCode.TIMEOUT_TOO_LONG,
                    "a sample is over before the device " + device + " runs out of time",
                    "more than its timeout of " + slowest.get().timeoutMillis() + " ms, or a shorter timeout");
        }
    }

    private void pump() {
        double rpm = plan.pumpLock().rpm();
        Yaml node = root.at("pump-lock", "speed");
        for (Limit limit : bench.limits()) {
            boolean comparable =
                    limit.channel().equals(BenchFile.PUMP) && limit.threshold().unit() == Unit.RPM;
            if (comparable && limit.passedBy(rpm)) {
                problems.conflict(
                        node,
                        ProblemCode.CONTRADICTION,
                        "at this speed the bench's limit ends the run at once",
                        "a speed that respects " + limit);
                return;
            }
        }
        bench.channel(BenchFile.PUMP)
                .filter(pump -> outside(rpm, pump))
                .ifPresent(pump -> problems.conflict(
                        node,
                        ProblemCode.CONTRADICTION,
                        "no valid reading of pump can reach this speed",
                        "a speed inside its valid range, " + pump.validText()));
    }

    private static boolean outside(double inBase, ChannelSpec channel) {
        double toBase = channel.unit().toBase();
        return channel.valid()
                .filter(v -> inBase < v.low() * toBase || inBase > v.high() * toBase)
                .isPresent();
    }

    // ---- conditions

    private void condition(int index) {
        Condition condition = plan.conditions().get(index);
        Yaml node = root.at("conditions", index);
        if (problems.within(node.path()) || benchProblems.within("channels." + condition.channel())) {
            return;
        }
        Optional<ChannelSpec> channel = bench.channel(condition.channel());
        if (channel.isEmpty()) {
            problems.unknownName(
                    node.at("channel"),
                    ProblemCode.UNKNOWN_CHANNEL,
                    "the bench has no channel ",
                    condition.channel(),
                    channelNames());
        } else if (condition instanceof Condition.Near near) {
            near(near, index, channel.get(), node.at("at"));
        } else if (channel.get().unit().dimension() != Dimension.NUMBER) {
            problems.conflict(
                    node.at("channel"),
                    ProblemCode.CONDITION_NEVER_HOLDS,
                    "readings of this channel are never twice exactly the same",
                    "a channel that counts, such as throttle-count, or at and within instead of unchanged");
        }
    }

    private List<String> channelNames() {
        return bench.channels().stream().map(ChannelSpec::name).toList();
    }

    private void near(Condition.Near near, int index, ChannelSpec channel, Yaml node) {
        Dimension dimension = channel.unit().dimension();
        Dimension found = Quantity.parse(node.text()).orElseThrow().unit().dimension();
        if (found != dimension) {
            problems.conflict(
                    node,
                    ProblemCode.WRONG_DIMENSION,
                    "the channel " + near.channel() + " is " + dimension.noun(),
                    dimension.noun() + ", such as " + dimension.example());
            return;
        }
        String needed = "";
        if (near.at() == 0) {
            needed = "a value other than 0, since within is a share of it";
        } else if (outside(near.at(), channel)) {
            needed = "a value inside the channel's valid range, " + channel.validText();
        } else if (near.channel().equals(BenchFile.PUMP)
                && apart(near, plan.pumpLock().rpm(), plan.pumpLock().withinPercent())) {
            needed = "a value near the pump-lock, "
                    + root.at("pump-lock", "speed").text();
        } else {
            needed = limitInTheWay(near).or(() -> otherCondition(near, index)).orElse("");
        }
        if (!needed.isEmpty()) {
            problems.conflict(node, ProblemCode.CONDITION_NEVER_HOLDS, "this condition can never hold", needed);
        }
    }

    private static boolean apart(Condition.Near near, double at, double withinPercent) {
        double reach = StrictMath.abs(near.at()) * near.withinPercent() + StrictMath.abs(at) * withinPercent;
        return StrictMath.abs(near.at() - at) * 100.0 > reach;
    }

    private Optional<String> limitInTheWay(Condition.Near near) {
        return bench.limits().stream()
                .filter(l -> l.channel().equals(near.channel()) && l.passedBy(near.at()))
                .findFirst()
                .map(l -> "a value that respects the bench's limit, " + l);
    }

    private Optional<String> otherCondition(Condition.Near near, int index) {
        return plan.conditions().subList(0, index).stream()
                .filter(c -> c.channel().equals(near.channel()))
                .filter(c -> c instanceof Condition.Near other && apart(near, other.at(), other.withinPercent()))
                .findFirst()
                .map(c -> "a value that fits the condition of the same channel above");
    }

    // ---- heat and limits

    private void heat() {
        HeatDemand heat = plan.heat().orElse(null);
        if (heat instanceof HeatDemand.Workload workload) {
            workload(workload);
        } else if (heat instanceof HeatDemand.Power && bench.supply().isEmpty() && !benchProblems.within("supply")) {
            problems.conflict(
                    root.at("heat", "power"),
                    ProblemCode.HEAT_SOURCE_MISSING,
                    "the bench has no supply that is set to a power",
                    "supply in the bench file, or a workload of the bench");
        } else if (heat instanceof HeatDemand.Processor
                && bench.devices().stream().noneMatch(DeviceSpec.Computer.class::isInstance)
                && !benchProblems.within("devices")) {
            problems.conflict(
                    root.at("heat", "processor"),
                    ProblemCode.HEAT_SOURCE_MISSING,
                    "no computer belongs to the bench",
                    "a device with computer: this in the bench file, or power");
        }
    }

    private void workload(HeatDemand.Workload heat) {
        if (problems.within("heat") || benchProblems.within("workloads")) {
            return;
        }
        Optional<WorkloadSpec> workload = bench.workload(heat.workload());
        if (workload.isEmpty()) {
            List<String> names =
                    bench.workloads().stream().map(WorkloadSpec::name).toList();
            problems.unknownName(
                    root.at("heat", "workload"),
                    ProblemCode.UNKNOWN_WORKLOAD,
                    "the bench has no workload ",
                    heat.workload(),
                    names);
        } else if (workload.get() instanceof WorkloadSpec.Simulated simulated) {
            plan.thermal().ifPresent(thermal -> runs(heat, simulated, thermal));
        }
    }

    private void runs(HeatDemand.Workload heat, WorkloadSpec.Simulated workload, Thermal thermal) {
        double loadedSeconds = thermal.soak().atMostSeconds() + thermal.dwellSeconds();
        boolean inDoubt = problems.within(
                PlanChecks.measurement(root, "thermal").at("soak").path());
        if (!inDoubt && heat.atLeastRuns() * workload.runSeconds() > loadedSeconds) {
            problems.conflict(
                    root.at("heat", "at-least-runs"),
                    ProblemCode.CONTRADICTION,
                    "so many runs of " + Durations.text(workload.runSeconds()) + " do not fit into soak and dwell",
                    (int) (loadedSeconds / workload.runSeconds()) + " or fewer, or a longer soak at-most");
        }
    }

    private void limits() {
        LimitReader.check(plan.limits(), bench, root, problems, benchProblems);
        for (int i = 0; i < plan.limits().size(); i++) {
            Limit limit = plan.limits().get(i);
            Yaml node = root.at("limits", i);
            if (!problems.within(node.path())) {
                bench.limits().stream()
                        .filter(b -> b.channel().equals(limit.channel()) && b.side() == limit.side())
                        .filter(limit::looserThan)
                        .findFirst()
                        .ifPresent(b -> looser(limit, b, node));
            }
        }
    }

    private void looser(Limit limit, Limit ofBench, Yaml node) {
        boolean threshold = limit.threshold().inBase() != ofBench.threshold().inBase();
        String side = limit.side() == Limit.Side.ABOVE ? "above" : "below";
        String tighter = limit.side() == Limit.Side.ABOVE ? " or less" : " or more";
        problems.conflict(
                node.at(threshold ? side : "for"),
                ProblemCode.LIMIT_LOOSER,
                "a plan may only tighten the bench's limit, " + ofBench,
                threshold
                        ? ofBench.threshold() + tighter
                        : Durations.text(ofBench.forSeconds()) + " or less at the same threshold");
    }

    private void coolantLimit() {
        if (plan.heat().isEmpty() || problems.within("limits")) {
            return;
        }
        List<String> coolant = bench.channelsOf(BenchFile.COOLANT).stream()
                .map(ChannelSpec::name)
                .toList();
        if (limits.stream().noneMatch(l -> l.side() == Limit.Side.ABOVE && coolant.contains(l.channel()))) {
            problems.addIn(
                    root.at("heat").head(),
                    root,
                    ProblemCode.HEAT_WITHOUT_COOLANT_LIMIT,
                    "heat, but nothing limits the coolant's temperature",
                    "",
                    "a limit in the bench file or here, such as { channel: coolant, above: 55 °C, for: 3 s }");
        }
    }

    // ---- sound and speed

    private void sound() {
        boolean meter = bench.channels().stream().anyMatch(c -> c.level().isPresent());
        boolean measured = plan.measurements().stream().anyMatch(Measurement.Acoustic.class::isInstance);
        if (measured && !meter && !benchProblems.within("channels")) {
            Yaml node = PlanChecks.measurement(root, "acoustic");
            problems.addIn(
                    node.head(),
                    node,
                    ProblemCode.METER_MISSING,
                    "the bench has no sound level meter",
                    "",
                    "a channel in dB with weighting and response in the bench file");
        }
    }

    /** The highest speed of a simulated fan set, rpm; empty where it is not known. */
    private OptionalDouble fastest(String set) {
        Optional<SimulationSpec.FanSetTruth> truth = bench.simulation().flatMap(s -> s.set(set));
        if (truth.isEmpty()) {
            return OptionalDouble.empty();
        }
        double most = setting(truth.get(), SimulationKey.MAX_SPEED);
        double cap = setting(truth.get(), SimulationKey.SPEED_CAP);
        return OptionalDouble.of(cap > 0 ? StrictMath.min(most, cap) : most);
    }

    private static double setting(SimulationSpec.FanSetTruth set, SimulationKey key) {
        return set.settings().stream()
                .filter(s -> s.key() == key)
                .findFirst()
                .map(SimulationSpec.Setting::value)
                .orElse(key.normal());
    }

    private void speeds(OptionalDouble fastestRpm) {
        for (Measurement measurement : plan.measurements()) {
            if (measurement instanceof Measurement.Acoustic acoustic) {
                Yaml speeds = PlanChecks.measurement(root, "acoustic").at("speeds");
                for (int i = 0; i < acoustic.speedsRpm().size(); i++) {
                    speed(acoustic.speedsRpm().get(i), fastestRpm, speeds.at(i));
                }
            } else if (measurement instanceof Thermal thermal) {
                Yaml node = PlanChecks.measurement(root, "thermal");
                for (int i = 0; i < thermal.steps().size(); i++) {
                    step(thermal.steps().get(i), fastestRpm, node.at("steps", i, "speed"));
                }
                thermal.reference().ifPresent(r -> step(r.step(), fastestRpm, node.at("reference", "step", "speed")));
            }
        }
    }

    private void step(Step step, OptionalDouble fastestRpm, Yaml node) {
        if (step instanceof Step.Speed speed) {
            speed(speed.rpm(), fastestRpm, node);
        }
    }

    private void speed(double rpm, OptionalDouble fastestRpm, Yaml node) {
        if (rpm > fastestRpm.orElse(Double.POSITIVE_INFINITY)) {
            problems.conflict(
                    node,
                    ProblemCode.STEP_BEYOND_FANS,
                    "the mounted fans do not reach this speed",
                    Decimals.shortest(fastestRpm.getAsDouble(), 0) + " rpm or less");
            return;
        }
        limitsOfFans.stream()
                .filter(l -> l.passedBy(rpm))
                .findFirst()
                .ifPresent(l -> problems.conflict(
                        node,
                        ProblemCode.CONTRADICTION,
                        "at this speed a limit ends the run",
                        "a speed that respects " + l));
    }

    // ---- the clock

    /**
     * Adds a problem if no block of the plan could end in time.
     *
     * @param draft the plan
     * @param start when the night starts
     */
    static void finishBy(Draft<Plan> draft, OffsetDateTime start) {
        Plan plan = draft.value().orElseThrow();
        if (plan.finishBy().isEmpty() || plan.thermal().isEmpty()) {
            return;
        }
        Thermal thermal = plan.thermal().get();
        double needed = NightEstimate.shortest(plan, thermal).oneBlockNightSeconds(thermal);
        double given = NightEstimate.secondsUntil(start, plan.finishBy().get());
        if (needed > given) {
            Document document = draft.document();
            document.problems()
                    .conflict(
                            document.root().orElseThrow().at("finish-by"),
                            ProblemCode.FINISH_TOO_EARLY,
                            "no block can end before finish-by",
                            Durations.hours(needed) + " or more from the start at "
                                    + start.toLocalTime().withNano(0).withSecond(0)
                                    + ", or fewer steps");
        }
    }

    // ---- nobody sits by

    /**
     * Adds problems if heat may stay on, or fans may stay slow, after this program has fallen silent.
     *
     * @param plan the plan
     * @param draft the bench
     */
    static void cutoffs(Plan plan, Draft<BenchFile> draft) {
        BenchFile bench = draft.value().orElseThrow();
        Yaml root = draft.document().root().orElseThrow();
        Problems problems = draft.document().problems();
        if (plan.heat().isEmpty()) {
            return;
        }
        if (plan.heat().get() instanceof HeatDemand.Power
                && bench.supply().filter(s -> s.cutoff().isEmpty()).isPresent()) {
            problems.addIn(
                    root.at("supply").head(),
                    root.at("supply"),
                    ProblemCode.CUTOFF_MISSING,
                    "nothing takes this heat away when the program falls silent",
                    "",
                    "cutoff, such as cutoff: { silence: 10 s, by: supply }, or somebody who sits by (--attended)");
        }
        for (DeviceSpec device : bench.devices()) {
            boolean turnsFansOrPump = List.of(BenchFile.FAN_DUTY, BenchFile.PUMP_DUTY).stream()
                    .flatMap(name -> bench.actuator(name).stream())
                    .anyMatch(actuator -> actuator.device().equals(device.name()));
            if (turnsFansOrPump
                    && device instanceof DeviceSpec.Serial serial
                    && serial.silenceCutoffSeconds().isEmpty()) {
                Yaml node = root.at("devices", device.name());
                problems.addIn(
                        node.head(),
                        node,
                        ProblemCode.CUTOFF_MISSING,
                        "nothing brings fans and pump to full speed when the program falls silent",
                        "",
                        "silence-cutoff, such as silence-cutoff: 10 s, or somebody who sits by (--attended)");
            }
        }
    }
}
