package org.plateaubench.results;

import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.HeatDemand;

/**
 * What the passes of a night are brought to: one heat flow, and the exponent with which the rise goes with the speed.
 *
 * @param heatFlowWatts nominal heat flow, W: what the plan asks of a supply, or else the mean of all passes; NaN where the
 *     heat flow is not measured
 * @param speedExponent exponent of the rise over the speed
 * @param speedExponentUncertainty its standard uncertainty
 */
record Conditions(double heatFlowWatts, double speedExponent, double speedExponentUncertainty) {

    /** Exponents that radiators show: all resistance goes with the air flow, or part of it. Common practice. */
    private static final double STEEPEST = -1.0;

    private static final double FLATTEST = -0.6;

    /** Speeds must differ by so much that pass-to-pass spread does not decide the exponent. */
    private static final double LEAST_SPEED_RATIO = 1.2;

    /** The exponent changes over a range of speeds; so much at least is open. */
    private static final double LEAST_UNCERTAINTY = 0.05;

    /**
     * Finds the conditions of a night.
     *
     * @param demand what the plan asks of the heat load, if anything
     * @param passes passes that count, of all steps
     * @return the conditions
     */
    static Conditions of(Optional<HeatDemand> demand, List<PassResult> passes) {
        OptionalDouble measured = passes.stream()
                .mapToDouble(p -> p.dwell().powerWatts())
                .filter(w -> w > 0.0)
                .average();
        double heatFlow = measured.isPresent() && demand.orElse(null) instanceof HeatDemand.Power set
                ? set.watts()
                : measured.orElse(Double.NaN);
        List<double[]> points = passes.stream()
                .filter(p -> p.dwell().fanRpm() > 0.0 && p.dwell().coolantRiseKelvin() > 0.0)
                .map(p -> new double[] {
                    StrictMath.log(p.dwell().fanRpm()),
                    StrictMath.log(p.dwell().settledRiseKelvin()
                            / (measured.isPresent() ? p.dwell().powerWatts() : 1.0))
                })
                .filter(p -> Double.isFinite(p[1]))
                .toList();
        return exponent(heatFlow, points);
    }

    private static Conditions exponent(double heatFlow, List<double[]> points) {
        double middle = 0.5 * (STEEPEST + FLATTEST);
        double unknown = 0.5 * (FLATTEST - STEEPEST) / StrictMath.sqrt(3.0);
        double range = points.stream().mapToDouble(p -> p[0]).max().orElse(0.0)
                - points.stream().mapToDouble(p -> p[0]).min().orElse(0.0);
        if (range < StrictMath.log(LEAST_SPEED_RATIO)) {
            return new Conditions(heatFlow, middle, unknown);
        }
        double meanX = points.stream().mapToDouble(p -> p[0]).average().orElseThrow();
        double meanY = points.stream().mapToDouble(p -> p[1]).average().orElseThrow();
        double xx = 0.0;
        double xy = 0.0;
        double yy = 0.0;
        for (double[] p : points) {
            xx += (p[0] - meanX) * (p[0] - meanX);
            xy += (p[0] - meanX) * (p[1] - meanY);
            yy += (p[1] - meanY) * (p[1] - meanY);
        }
        double slope = xy / xx;
        if (slope < STEEPEST || slope > FLATTEST) {
            return new Conditions(heatFlow, StrictMath.max(STEEPEST, StrictMath.min(FLATTEST, slope)), unknown);
        }
        double error = points.size() < 3
                ? 0.0
                : StrictMath.sqrt(StrictMath.max(0.0, yy - slope * xy) / (points.size() - 2) / xx);
        return new Conditions(heatFlow, slope, StrictMath.max(error, LEAST_UNCERTAINTY));
    }
}
