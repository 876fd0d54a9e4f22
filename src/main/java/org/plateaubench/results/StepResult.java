package org.plateaubench.results;

import java.util.Optional;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.StepPasses;

/**
 * One step, over all its passes that count.
 *
 * @param step its setpoint, as text
 * @param passes how many passes count
 * @param settled how many of them had settled
 * @param measuredRiseKelvin mean rise of the coolant over the ambient as it was measured, without any correction, K
 * @param evidence the passes as they enter the estimate, if any counts
 * @param estimate rise at equilibrium, nominal speed and nominal heat flow, with its budgets, if any pass counts
 * @param nominalRpm speed that the rise is corrected to, rpm: that of the setpoint, or else the mean of the passes
 * @param nominalWatts heat flow that the rise is corrected to, W: what the plan asks of a supply, or else the mean of all
 *     passes of the night; NaN where the heat flow is not measured, and the rise is not corrected for it
 * @param speedExponent exponent of the rise over the speed that was used
 * @param cpuRiseKelvin mean rise of the processor over the ambient, K; NaN where it is not measured
 * @param fanRpm mean fan speed, rpm
 * @param powerWatts mean heat flow, W; NaN where it is not measured
 * @param coolantToAmbientResistance corrected rise over nominal heat flow, K/W; NaN where the heat flow is not measured
 */
public record StepResult(
        String step,
        int passes,
        int settled,
        double measuredRiseKelvin,
        Optional<StepPasses> evidence,
        Optional<StepEstimate> estimate,
        double nominalRpm,
        double nominalWatts,
        double speedExponent,
        double cpuRiseKelvin,
        double fanRpm,
        double powerWatts,
        double coolantToAmbientResistance) {

    /** Probability of all intervals of results. */
    public static final double PROBABILITY = 0.95;

    /** {@return rise of the coolant over the ambient at equilibrium and nominal conditions, K; NaN without any pass} */
    public double coolantRiseKelvin() {
        return estimate.map(StepEstimate::riseKelvin).orElse(Double.NaN);
    }

    /** {@return standard deviation of the step's corrected passes, K; NaN for fewer than two} */
    public double spreadKelvin() {
        return estimate.map(StepEstimate::ownSpreadKelvin).orElse(Double.NaN);
    }

    /** {@return standard deviation of one pass, pooled over steps, K; NaN where no step was repeated} */
    public double pooledSpreadKelvin() {
        return estimate.map(StepEstimate::pooledSpreadKelvin).orElse(Double.NaN);
    }

    /** {@return half-width of the 95 % interval for repeatability alone, K; NaN where no step was repeated} */
    public double repeatabilityKelvin() {
        return estimate.map(e -> e.repeatabilityKelvin(PROBABILITY)).orElse(Double.NaN);
    }

    /** {@return half-width of the 95 % interval with everything, K; NaN where no step was repeated} */
    public double expandedKelvin() {
        return estimate.map(e -> e.expandedKelvin(PROBABILITY)).orElse(Double.NaN);
    }

    /** {@return coverage factor of that interval; NaN where no step was repeated} */
    public double coverageFactor() {
        return estimate.map(e -> e.coverageFactor(PROBABILITY)).orElse(Double.NaN);
    }
}
