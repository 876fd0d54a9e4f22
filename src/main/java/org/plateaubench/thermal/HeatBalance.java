package org.plateaubench.thermal;

/** The heat that flowing water carries off. */
public final class HeatBalance {

    private static final double CUBIC_METRES_PER_SECOND = 1.0 / 60_000.0;

    private HeatBalance() {}

    /**
     * Heat flow from volume flow and the warming of the water, P = rho·V·c·dT, properties at the mean temperature. Against
     * the enthalpy balance with the flow metered at the inlet this is 0.08 % low at 5 K and 0.4 % low at 20 K.
     *
     * @param flowLitresPerMinute volume flow, L/min; finite
     * @param inletCelsius temperature before the heat source, °C
     * @param outletCelsius temperature after it, °C
     * @return heat flow into the water, W; negative where the water cools
     * @throws IllegalArgumentException if the mean temperature is outside 15 to 60 °C
     */
    public static double watts(double flowLitresPerMinute, double inletCelsius, double outletCelsius) {
        double mean = (inletCelsius + outletCelsius) / 2.0;
        return Water.densityKilogramsPerCubicMetre(mean)
                * (flowLitresPerMinute * CUBIC_METRES_PER_SECOND)
                * Water.specificHeatJoulesPerKilogramKelvin(mean)
                * (outletCelsius - inletCelsius);
    }
}
