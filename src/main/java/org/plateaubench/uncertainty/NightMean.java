package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.Comparator;
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
        byName.values().forEach(lines -> common.add(together(lines, share)));
        return new NightMean(kelvin, spread, common);
    }

    /** One input's lines at several steps. Where it is shared, its sensitivities keep their signs. */
    private static Contribution together(List<Contribution> lines, double share) {
        Contribution largest = lines.stream()
                .max(Comparator.comparingDouble(Contribution::standardUncertainty))
                .orElseThrow();
        double u = largest.standardUncertainty();
        double effect = lines.stream()
                .mapToDouble(c -> c.shared() ? c.sensitivity() * c.standardUncertainty() : c.inResult())
                .sum();
        return new Contribution(
                largest.name(),
                u,
                lines.stream().mapToDouble(Contribution::degreesOfFreedom).min().orElseThrow(),
                u == 0.0 ? 0.0 : share * effect / u,
                largest.shared(),
                largest.excessKurtosis());
    }
}
