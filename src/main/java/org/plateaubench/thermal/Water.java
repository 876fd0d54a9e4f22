package org.plateaubench.thermal;

import org.apache.commons.math3.analysis.interpolation.SplineInterpolator;
import org.apache.commons.math3.analysis.polynomials.PolynomialSplineFunction;

/**
 * Liquid water at 101.325 kPa between 15 and 60 °C, by splines through values of IAPWS-95 (IAPWS R6-95, 2018). Additives
 * change both properties: a mixture needs its own table.
 */
public final class Water {

    /** Lowest temperature of the table, °C. */
    public static final double LOWEST_CELSIUS = 15.0;

    /** Highest temperature of the table, °C. */
    public static final double HIGHEST_CELSIUS = 60.0;

    private static final double[] CELSIUS = {15, 20, 25, 30, 35, 40, 45, 50, 55, 60};
    private static final PolynomialSplineFunction DENSITY = new SplineInterpolator().interpolate(CELSIUS, new double[] {
        999.1026, 998.2072, 997.0476, 995.6495, 994.0333, 992.2164, 990.2129, 988.0350, 985.6931, 983.1958
    });
    private static final PolynomialSplineFunction SPECIFIC_HEAT = new SplineInterpolator()
            .interpolate(CELSIUS, new double[] {
                4188.461, 4184.051, 4181.315, 4179.820, 4179.258, 4179.415, 4180.142, 4181.342, 4182.957, 4184.953
            });

    private Water() {}

    /**
     * Density.
     *
     * @param celsius temperature, °C; 15 to 60
     * @return kg/m³
     * @throws IllegalArgumentException if the temperature is outside the table
     */
    public static double densityKilogramsPerCubicMetre(double celsius) {
        return at(DENSITY, celsius);
    }

    /**
     * Specific heat capacity at constant pressure.
     *
     * @param celsius temperature, °C; 15 to 60
     * @return J/(kg K)
     * @throws IllegalArgumentException if the temperature is outside the table
     */
    public static double specificHeatJoulesPerKilogramKelvin(double celsius) {
        return at(SPECIFIC_HEAT, celsius);
    }

    private static double at(PolynomialSplineFunction property, double celsius) {
        if (!(celsius >= LOWEST_CELSIUS && celsius <= HIGHEST_CELSIUS)) {
            throw new IllegalArgumentException(
                    "the properties of water are tabled from 15 to 60 °C, asked for " + celsius + " °C");
        }
        return property.value(celsius);
    }
}
