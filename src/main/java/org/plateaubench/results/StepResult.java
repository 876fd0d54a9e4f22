package org.plateaubench.results;

/**
 * One step, over all its passes that count.
 *
 * @param step its setpoint, as text
 * @param passes how many passes count
 * @param settled how many of them had settled
 * @param coolantRiseKelvin mean rise of the coolant over the ambient, K
 * @param spreadKelvin standard deviation of the passes' rises, K; NaN for fewer than two
 * @param expandedKelvin half-width of the 95 % interval of the rise, K; NaN where it cannot be given
 * @param coverageFactor expanded over standard uncertainty; NaN where it cannot be given
 * @param cpuRiseKelvin mean rise of the processor over the ambient, K; NaN where it is not measured
 * @param fanRpm mean fan speed, rpm
 * @param powerWatts mean heat flow, W; NaN where it is not measured
 * @param coolantToAmbientResistance mean, K/W; NaN where the heat flow is not measured
 */
public record StepResult(
        String step,
        int passes,
        int settled,
        double coolantRiseKelvin,
        double spreadKelvin,
        double expandedKelvin,
        double coverageFactor,
        double cpuRiseKelvin,
        double fanRpm,
        double powerWatts,
        double coolantToAmbientResistance) {}
