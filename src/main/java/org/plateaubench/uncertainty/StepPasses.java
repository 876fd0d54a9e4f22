package org.plateaubench.uncertainty;

import java.util.ArrayList;
import java.util.List;

/**
 * The passes of one step in one night, and what is uncertain about all of them alike.
 *
 * @param step the setpoint, as it is written
 * @param passes those that count, at least one, in order of time
 * @param systematic contributions common to the passes, in K once multiplied by their sensitivity: probe calibration
 *     and drift since, change of the baseline, power, speed, level. The settling correction is not among them
 */
public record StepPasses(String step, List<PassRise> passes, List<Contribution> systematic) {

    /**
     * Copies the lists.
     *
     * @throws IllegalArgumentException if there is no pass, or two contributions have one name
     */
    public StepPasses {
        passes = List.copyOf(passes);
        systematic = List.copyOf(systematic);
        if (passes.isEmpty()) {
            throw new IllegalArgumentException("step \"" + step + "\" has no pass that counts");
        }
        if (systematic.stream().map(Contribution::name).distinct().count() < systematic.size()) {
            throw new IllegalArgumentException("step \"" + step + "\" has two contributions of one name");
        }
    }

    /** {@return the rises that the passes would have ended at, K, one a pass} */
    double[] settledKelvin() {
        return passes.stream().mapToDouble(PassRise::settledKelvin).toArray();
    }

    /** {@return the mean of them, K} */
    double meanKelvin() {
        return Series.mean(settledKelvin());
    }

    /** {@return sum of their squared deviations from the mean, K²} */
    double squaresKelvin() {
        double mean = meanKelvin();
        double squares = 0.0;
        for (double rise : settledKelvin()) {
            squares += (rise - mean) * (rise - mean);
        }
        return squares;
    }

    /** {@return mean square of the passes' own floors, K²} */
    double floorVariance() {
        return passes.stream()
                .mapToDouble(p -> p.floorKelvin() * p.floorKelvin())
                .average()
                .orElseThrow();
    }

    /**
     * {@return what is uncertain about all passes alike: the settling corrections, which err in one direction and so do not
     * average out, and the systematic contributions}
     */
    List<Contribution> common() {
        List<Contribution> common = new ArrayList<>();
        common.add(new Contribution(
                StepEstimate.SETTLING,
                1.0,
                Double.POSITIVE_INFINITY,
                passes.stream()
                        .mapToDouble(PassRise::signedSettlingUncertaintyKelvin)
                        .average()
                        .orElseThrow(),
                true));
        common.addAll(systematic);
        return common;
    }
}
