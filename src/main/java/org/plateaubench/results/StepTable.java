package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.function.ToDoubleFunction;

/** Puts the passes of each step together. */
final class StepTable {

    private StepTable() {}

    static List<StepResult> of(Map<String, List<PassResult>> passesByStep) {
        List<StepResult> steps = new ArrayList<>();
        passesByStep.forEach((step, passes) -> steps.add(step(step, passes)));
        return steps;
    }

    private static StepResult step(String step, List<PassResult> passes) {
        double rise = mean(passes, PassResult.Dwell::coolantRiseKelvin);
        double squares = passes.stream()
                .mapToDouble(p -> p.dwell().coolantRiseKelvin() - rise)
                .map(d -> d * d)
                .sum();
        return new StepResult(
                step,
                passes.size(),
                (int) passes.stream().filter(PassResult::settled).count(),
                rise,
                passes.size() < 2 ? Double.NaN : StrictMath.sqrt(squares / (passes.size() - 1)),
                Double.NaN,
                Double.NaN,
                mean(passes, PassResult.Dwell::cpuRiseKelvin),
                mean(passes, PassResult.Dwell::fanRpm),
                mean(passes, PassResult.Dwell::powerWatts),
                mean(passes, PassResult.Dwell::coolantToAmbientResistance));
    }

    private static double mean(List<PassResult> passes, ToDoubleFunction<PassResult.Dwell> value) {
        return passes.stream()
                .map(PassResult::dwell)
                .mapToDouble(value)
                .filter(v -> !Double.isNaN(v))
                .average()
                .orElse(Double.NaN);
    }
}
