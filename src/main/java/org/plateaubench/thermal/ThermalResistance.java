package org.plateaubench.thermal;

/**
 * Temperature difference over the heat flow that causes it, between two named places.
 *
 * @param from the warmer end, such as "coolant"
 * @param to the colder end, such as "ambient"
 * @param kelvinPerWatt resistance, K/W; finite
 */
public record ThermalResistance(String from, String to, double kelvinPerWatt) {

    /**
     * Checks the resistance.
     *
     * @throws IllegalArgumentException if an end has no name, both ends are the same, or the number is not finite
     */
    public ThermalResistance {
        if (from.isBlank() || to.isBlank() || from.equals(to)) {
            throw new IllegalArgumentException(
                    "a thermal resistance needs two different named ends, found '" + from + "' and '" + to + "'");
        }
        if (!Double.isFinite(kelvinPerWatt)) {
            throw new IllegalArgumentException("a thermal resistance must be finite, found " + kelvinPerWatt + " K/W");
        }
    }

    /**
     * The resistance that a rise at a heat flow shows: R = rise/P.
     *
     * @param from the warmer end
     * @param to the colder end
     * @param riseKelvin by how much the warmer end is warmer, K; finite
     * @param heatFlowWatts heat flow from end to end, W; above 0
     * @return the resistance
     * @throws IllegalArgumentException if the heat flow is not above 0, or as the constructor
     */
    public static ThermalResistance of(String from, String to, double riseKelvin, double heatFlowWatts) {
        if (!(heatFlowWatts > 0.0)) {
            throw new IllegalArgumentException(
                    "a thermal resistance needs a heat flow above 0 W, found " + heatFlowWatts + " W");
        }
        return new ThermalResistance(from, to, riseKelvin / heatFlowWatts);
    }
}
