package org.plateaubench.thermal;

/** Air at the intake. The heat that a fan's volume flow takes away goes with its density. */
public final class Air {

    private static final double KELVIN_AT_ZERO_CELSIUS = 273.15;

    private Air() {}

    /**
     * Density of moist air by the approximation of OIML R 111-1 (2004), equation E.3-1, to the CIPM formula: within 0.02 %
     * between 900 and 1100 hPa, 10 and 30 °C, up to 80 % relative humidity.
     *
     * @param celsius temperature, °C; above absolute zero
     * @param hectopascals absolute pressure, hPa; above 0
     * @param relativeHumidityPercent relative humidity, %; 0 to 100
     * @return kg/m³
     * @throws IllegalArgumentException if a number is out of its range or NaN
     */
    public static double densityKilogramsPerCubicMetre(
            double celsius, double hectopascals, double relativeHumidityPercent) {
        if (!(celsius > -KELVIN_AT_ZERO_CELSIUS)
                || !(hectopascals > 0.0)
                || !(relativeHumidityPercent >= 0.0 && relativeHumidityPercent <= 100.0)) {
            throw new IllegalArgumentException("air needs a temperature, a pressure above 0 hPa and a humidity of 0 to"
                    + " 100 %, found " + celsius + " °C, " + hectopascals + " hPa, " + relativeHumidityPercent + " %");
        }
        return (0.34848 * hectopascals - 0.009 * relativeHumidityPercent * StrictMath.exp(0.061 * celsius))
                / (KELVIN_AT_ZERO_CELSIUS + celsius);
    }
}
