package org.plateaubench.plan;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.benchfile.WorkloadSpec;
import org.plateaubench.problem.Draft;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;

/** Checks between plan, fans file and bench file. */
final class NightChecks {

    private final Plan plan;
    private final Yaml planRoot;
    private final Problems problems;
    private final BenchFile bench;
    private final Problems benchProblems;

    private NightChecks(Draft<Plan> plan, Draft<BenchFile> bench) {
        this.plan = plan.value().orElseThrow();
        this.planRoot = plan.document().root().orElseThrow();
        this.problems = plan.document().problems();
        this.bench = bench.value().orElseThrow();
        this.benchProblems = bench.document().problems();
    }

    static void check(Draft<Plan> plan, Draft<FansFile> fans, Draft<BenchFile> bench) {
        if (plan.value().isPresent() && bench.value().isPresent()) {
            NightChecks checks = new NightChecks(plan, bench);
            checks.channels();
            checks.workload();
            checks.coolantLimit();
        }
    }

    private void channels() {
        List<String> channels = bench.channels().stream().map(ChannelSpec::name).toList();
        for (int i = 0; i < plan.limits().size(); i++) {
            channel(plan.limits().get(i).channel(), channels, planRoot.at("limits", i, "channel"));
        }
        for (int i = 0; i < plan.conditions().size(); i++) {
            channel(plan.conditions().get(i).channel(), channels, planRoot.at("conditions", i, "channel"));
        }
    }

    private void channel(String channel, List<String> channels, Yaml node) {
        if (!channel.isEmpty() && !channels.contains(channel)) {
            problems.add(
                    node,
                    ProblemCode.UNKNOWN_CHANNEL,
                    "the bench has no channel " + channel,
                    "",
                    "one of " + String.join(", ", channels));
        }
    }

    private void workload() {
        List<String> workloads =
                bench.workloads().stream().map(WorkloadSpec::name).toList();
        if (plan.heat().orElse(null) instanceof HeatDemand.Workload w && !workloads.contains(w.workload())) {
            problems.add(
                    planRoot.at("heat", "workload"),
                    ProblemCode.UNKNOWN_WORKLOAD,
                    "the bench has no workload " + w.workload(),
                    "",
                    workloads.isEmpty() ? "a workload in the bench file" : "one of " + String.join(", ", workloads));
        }
    }

    private void coolantLimit() {
        if (plan.heat().isEmpty() || benchProblems.within("limits") || problems.within("limits")) {
            return;
        }
        List<String> coolant = bench.channelsOf(BenchFile.COOLANT).stream()
                .map(ChannelSpec::name)
                .toList();
        List<Limit> limits = new ArrayList<>(bench.limits());
        limits.addAll(plan.limits());
        if (limits.stream().noneMatch(l -> l.side() == Limit.Side.ABOVE && coolant.contains(l.channel()))) {
            problems.addIn(
                    planRoot.at("heat").head(),
                    planRoot,
                    ProblemCode.HEAT_WITHOUT_COOLANT_LIMIT,
                    "heat without a limit of the coolant's temperature",
                    "",
                    "a limit, such as { channel: coolant, above: 55 °C, for: 3 s }, in the bench file or here");
        }
    }
}
