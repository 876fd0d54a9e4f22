package org.plateaubench.results;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.equilibrium.Settling;

class ConditionsTest {

    private static final Optional<HeatDemand> WORKLOAD = Optional.of(new HeatDemand.Workload("compile", 0));

    private static PassResult pass(double rpm, double watts, double riseKelvin) {
        PassResult.Dwell dwell = new PassResult.Dwell(
                100,
                riseKelvin,
                Double.NaN,
                22.0,
                rpm,
                2700.0,
                watts,
                riseKelvin / watts,
                0.01,
                new Settling.Flat(true),
                350.0);
        return new PassResult(
                "1.1/1", "a step", "thermal", false, PassResult.Status.DONE, "", true, 2400, 1, 100, dwell, Double.NaN);
    }

    /** A rise that goes with the speed to the power of an exponent, at 200 W for 10 K at 1000 rpm. */
    private static PassResult law(double rpm, double watts, double exponent) {
        return pass(rpm, watts, 10.0 * watts / 200.0 * StrictMath.pow(rpm / 1000.0, exponent));
    }

    @Test
    void theExponentIsFittedWhereSpeedsDiffer() {
        Conditions c =
                Conditions.of(WORKLOAD, List.of(law(700, 199, -0.75), law(700, 201, -0.75), law(1700, 200, -0.75)));
        assertEquals(-0.75, c.speedExponent(), 1e-9);
        assertEquals(0.05, c.speedExponentUncertainty(), 1e-9);
        assertEquals(200.0, c.heatFlowWatts(), 1e-9);
    }

    @Test
    void anExponentThatNoRadiatorHasIsHeldAtItsBound() {
        assertEquals(
                -0.6,
                Conditions.of(WORKLOAD, List.of(law(700, 200, -0.3), law(1700, 200, -0.3)))
                        .speedExponent());
        assertEquals(
                -1.0,
                Conditions.of(WORKLOAD, List.of(law(700, 200, -1.4), law(1700, 200, -1.4)))
                        .speedExponent());
    }

    @Test
    void withoutTwoSpeedsTheMiddleOfWhatRadiatorsShowIsTaken() {
        Conditions c = Conditions.of(WORKLOAD, List.of(law(1000, 200, -0.75), law(1100, 200, -0.75)));
        assertEquals(-0.8, c.speedExponent(), 1e-12);
        assertEquals(0.2 / StrictMath.sqrt(3.0), c.speedExponentUncertainty(), 1e-12);
    }

    @Test
    void theNominalHeatFlowIsWhatASupplyWasAskedFor() {
        assertEquals(
                150.0,
                Conditions.of(Optional.of(new HeatDemand.Power(150)), List.of(law(700, 149, -0.75)))
                        .heatFlowWatts());
        assertTrue(Double.isNaN(
                Conditions.of(Optional.of(new HeatDemand.Power(150)), List.of(pass(700, Double.NaN, 9.0)))
                        .heatFlowWatts()));
    }
}
