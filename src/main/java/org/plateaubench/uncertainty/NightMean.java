package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * What one night says of one fan set at one step, or over several steps.
 *
 * @param kelvin mean rise, K
 * @param spread how uncertain the spread between passes makes it
 * @param common what is uncertain about all its passes alike
 */
record NightMean(double kelvin, SpreadOfMean spread, List<Contribution> common) {

    static NightMean of(StepPasses step, PooledSpread spread) {
        return new NightMean(step.meanKelvin(), spread.ofMean(step), step.common());
    }

    /** The mean over several steps of a night; what is uncertain about a night's steps errs alike in all of them. */
    static NightMean over(List<NightMean> steps) {
        double share = 1.0 / steps.size();
        double kelvin = 0.0;
        SpreadOfMean spread = steps.get(0).spread.times(0.0);
        Map<String, List<Contribution>> byName = new LinkedHashMap<>();
        for (NightMean step : steps) {
            kelvin += step.kelvin * share;
            spread = spread.and(step.spread.times(share));
            for (Contribution c : step.common) {
                byName.computeIfAbsent(c.name(), name -> new ArrayList<>()).add(c);
            }
        }
        List<Contribution> common = new ArrayList<>();
        byName.forEach((name, lines) -> common.add(new Contribution(
                name,
                share * lines.stream().mapToDouble(Contribution::inResult).sum(),
                lines.stream().mapToDouble(Contribution::degreesOfFreedom).min().orElseThrow(),
                1.0,
                lines.stream().allMatch(Contribution::cancels))));
        return new NightMean(kelvin, spread, common);
    }
}
