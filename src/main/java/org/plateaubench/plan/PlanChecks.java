package org.plateaubench.plan;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.plan.Measurement.Acoustic;
import org.plateaubench.plan.Measurement.Characterise;
import org.plateaubench.plan.Measurement.Settle;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.plan.Measurement.Thermal;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Decimals;

/**
 * Checks that need more than one part of a plan. A comparison with NaN, the stand-in for a number that could not be
 * read, is never true, so no such number is judged again.
 */
final class PlanChecks {

    /** A slope and its standard error from fewer samples say little. */
    private static final int FEWEST_SAMPLES = 60;
    /** Gusts are told by the median of the blocks, and by what is left. */
    private static final int FEWEST_BLOCKS = 10;
    /** A level line with curvature has three parameters. */
    private static final int FEWEST_SPEEDS = 3;

    private final Plan plan;
    private final Yaml root;
    private final Problems problems;

    private PlanChecks(Plan plan, Document document) {
        this.plan = plan;
        this.root = document.root().orElseThrow();
        this.problems = document.problems();
    }

    static void check(Plan plan, Document document) {
        new PlanChecks(plan, document).check();
    }

    /**
     * Finds a measurement in the file.
     *
     * @param root the top of the plan
     * @param kind its key, such as "thermal"
     * @return the first of that kind, or the nearest node above
     */
    static Yaml measurement(Yaml root, String kind) {
        Yaml list = root.at("measurements");
        if (list instanceof Yaml.Sequence sequence) {
            for (Yaml item : sequence.items()) {
                if (item instanceof Yaml.Mapping mapping && mapping.value(kind).isPresent()) {
                    return mapping.value(kind).get();
                }
            }
        }
        return list;
    }

    private void check() {
        measurementsOnce();
        boolean soundKnown = false;
        for (Measurement measurement : plan.measurements()) {
            if (measurement instanceof Characterise characterise) {
                characterise(characterise, measurement(root, "characterise"));
            } else if (measurement instanceof Acoustic acoustic) {
                acoustic(acoustic, measurement(root, "acoustic"));
                soundKnown = true;
            } else if (measurement instanceof Thermal thermal) {
                thermal(thermal, measurement(root, "thermal"), soundKnown);
            }
        }
    }

    private void measurementsOnce() {
        if (!(root.at("measurements") instanceof Yaml.Sequence sequence)) {
            return;
        }
        List<String> seen = new ArrayList<>();
        for (Yaml item : sequence.items()) {
            if (item instanceof Yaml.Mapping mapping && !mapping.entries().isEmpty()) {
                Yaml.Entry entry = mapping.entries().get(0);
                if (seen.contains(entry.key())) {
                    problems.addIn(
                            entry.keyPlace(),
                            item,
                            ProblemCode.MEASUREMENT_TWICE,
                            "a second " + entry.key() + " measurement",
                            "",
                            "one of each kind; for more, write another plan");
                }
                seen.add(entry.key());
            }
        }
    }

    private void characterise(Characterise measurement, Yaml node) {
        if (measurement.fromPercent() >= measurement.toPercent()) {
            problems.conflict(
                    node.at("to"),
                    ProblemCode.CONTRADICTION,
                    "the sweep ends where it begins, or below",
                    "more than " + node.at("from").text());
        } else if (measurement.byPercent() > measurement.toPercent() - measurement.fromPercent()) {
            problems.conflict(
                    node.at("by"),
                    ProblemCode.CONTRADICTION,
                    "the step is larger than the sweep",
                    Decimals.shortest(measurement.toPercent() - measurement.fromPercent(), 2) + " % or less");
        }
    }

    private void acoustic(Acoustic measurement, Yaml node) {
        blocks(measurement.listenSeconds(), measurement, node.at("listen"));
        blocks(measurement.backgroundListenSeconds(), measurement, node.at("background", "listen"));
        List<Double> speeds = measurement.speedsRpm();
        for (int i = 0; i < speeds.size(); i++) {
            if (speeds.indexOf(speeds.get(i)) < i && !speeds.get(i).isNaN()) {
                problems.conflict(
                        node.at("speeds", i),
                        ProblemCode.STEP_TWICE,
                        "this speed stands here twice",
                        "each speed once");
            }
        }
    }

    private void blocks(double listenSeconds, Acoustic measurement, Yaml node) {
        double fewest = FEWEST_BLOCKS * measurement.gusts().blockSeconds();
        if (listenSeconds < fewest) {
            problems.conflict(
                    node,
                    ProblemCode.WINDOW_TOO_SHORT,
                    "this listen holds fewer than " + FEWEST_BLOCKS + " blocks of "
                            + Durations.text(measurement.gusts().blockSeconds()),
                    Durations.text(fewest) + " or more, or a shorter block in gusts");
        }
    }

    private void thermal(Thermal thermal, Yaml node, boolean soundKnown) {
        if (plan.heat().isEmpty() && !problems.within("heat")) {
            problems.addIn(
                    node.head(),
                    node,
                    ProblemCode.HEAT_MISSING,
                    "a thermal measurement without heat",
                    "",
                    "heat, such as heat: { workload: compile } or heat: { power: 200 W }, at the top of the plan");
        }
        settle(thermal.cooldown().until(), thermal.cooldown().atMostSeconds(), "cooldown", node.at("cooldown"));
        settle(thermal.soak().until(), thermal.soak().atMostSeconds(), "soak", node.at("soak"));
        crossed(thermal.cooldown().atLeastSeconds(), thermal.cooldown().atMostSeconds(), node.at("cooldown"));
        crossed(thermal.soak().atLeastSeconds(), thermal.soak().atMostSeconds(), node.at("soak"));
        samples(thermal.dwellSeconds(), "dwell", node.at("dwell", "average"));
        for (int i = 0; i < thermal.steps().size(); i++) {
            Step step = thermal.steps().get(i);
            Yaml place = node.at("steps", i);
            if (thermal.steps().indexOf(step) < i && !problems.within(place.path())) {
                problems.addIn(
                        place.head(),
                        place,
                        ProblemCode.STEP_TWICE,
                        "the step " + step.text() + " stands here twice",
                        "",
                        "each step once; repeats says how often it is measured");
            }
            level(step, valueOf(place), soundKnown);
        }
        thermal.reference().ifPresent(reference -> {
            reference(reference, thermal, node.at("reference"));
            level(reference.step(), valueOf(node.at("reference", "step")), soundKnown);
        });
    }

    private static Yaml valueOf(Yaml step) {
        return step instanceof Yaml.Mapping mapping && mapping.entries().size() == 1
                ? mapping.entries().get(0).value()
                : step;
    }

    private void settle(Settle until, double atMostSeconds, String stage, Yaml node) {
        samples(until.windowSeconds(), "window", node.at("until", "window"));
        if (atMostSeconds < until.shortestSeconds()) {
            problems.conflict(
                    node.at("at-most"),
                    ProblemCode.SOAK_TOO_SHORT,
                    stage + " may end before its window is full",
                    Durations.text(until.shortestSeconds()) + " or more (window and for)");
        }
    }

    private void samples(double seconds, String what, Yaml node) {
        double fewest = FEWEST_SAMPLES * plan.sampleEverySeconds();
        if (seconds < fewest) {
            problems.conflict(
                    node,
                    ProblemCode.WINDOW_TOO_SHORT,
                    "this " + what + " holds fewer than " + FEWEST_SAMPLES + " samples",
                    Durations.text(fewest) + " or more, or a shorter sample-every than "
                            + root.at("sample-every").text());
        }
    }

    private void crossed(double atLeastSeconds, double atMostSeconds, Yaml node) {
        if (atLeastSeconds > atMostSeconds) {
            problems.conflict(
                    node.at("at-least"),
                    ProblemCode.TIMES_CROSSED,
                    "at-least is longer than at-most",
                    node.at("at-most").text() + " or less");
        }
    }

    private void level(Step step, Yaml node, boolean soundKnown) {
        if (!(step instanceof Step.OwnLevel || step instanceof Step.AboveBackground)) {
            return;
        }
        if (!soundKnown) {
            problems.conflict(
                    node,
                    ProblemCode.LEVEL_WITHOUT_ACOUSTIC,
                    "a step at a level, but no sound is measured before",
                    "an acoustic measurement before the thermal one, or a step at a speed or duty");
            return;
        }
        Optional<Acoustic> acoustic = plan.measurements().stream()
                .filter(Acoustic.class::isInstance)
                .map(Acoustic.class::cast)
                .findFirst();
        int speeds = acoustic.map(a -> a.speedsRpm().size()).orElse(FEWEST_SPEEDS);
        if (speeds > 0 && speeds < FEWEST_SPEEDS) {
            problems.conflict(
                    node,
                    ProblemCode.LEVEL_WITHOUT_ACOUSTIC,
                    "the speed of a level cannot be found from " + speeds + (speeds == 1 ? " speed" : " speeds"),
                    FEWEST_SPEEDS + " speeds or more in the acoustic measurement");
        }
    }

    private void reference(Measurement.Reference reference, Thermal thermal, Yaml node) {
        int passes = thermal.steps().size() * thermal.repeats();
        if (reference.everyPasses() > passes && !problems.within(node.path())) {
            problems.conflict(
                    node.at("every"),
                    ProblemCode.REFERENCE_NEVER_REACHED,
                    "the reference is never reached between the passes",
                    passes + (passes == 1 ? " pass" : " passes") + " or fewer (steps times repeats)");
        }
    }
}
