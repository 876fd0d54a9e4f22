package org.plateaubench.bench.sim;

/**
 * The radiator by the effectiveness-NTU relation for a cold stream that meets a much larger, mixed one: the coolant's
 * capacity flow is about ten times the air's, so eps = 1 - exp(-NTU) (heat-transfer textbooks, the limit of zero
 * capacity ratio, the same for every arrangement; from memory).
 *
 * <p>The air-side surface conductance rises with flow, as in laminar, developing flow between fins.
 */
final class Radiator {

    /** Heat capacity of dry air at room temperature, J/(kg K). */
    private static final double AIR_HEAT_CAPACITY = 1006.0;
    /** Gas constant of dry air, J/(kg K). */
    private static final double AIR_GAS_CONSTANT = 287.05;

    private static final double REFERENCE_FLOW_LITRES_PER_MINUTE = 1500.0;
    private static final double REFERENCE_SURFACE_WATTS_PER_KELVIN = 32.0;
    private static final double SURFACE_EXPONENT = 0.38;

    private Radiator() {}

    /**
     * Capacity flow of air.
     *
     * @param litresPerMinute volume flow, L/min
     * @param celsius its temperature, °C
     * @param hectopascal its pressure, hPa
     * @return mass flow times heat capacity, W/K
     */
    static double airCapacityFlow(double litresPerMinute, double celsius, double hectopascal) {
        double density = 100.0 * hectopascal / (AIR_GAS_CONSTANT * (celsius + 273.15));
        return density * litresPerMinute / 60_000.0 * AIR_HEAT_CAPACITY;
    }

    /**
     * Conductance of the surface between coolant and air.
     *
     * @param litresPerMinute air flow, L/min
     * @return UA, W/K
     */
    static double surfaceConductance(double litresPerMinute) {
        return REFERENCE_SURFACE_WATTS_PER_KELVIN
                * StrictMath.pow(litresPerMinute / REFERENCE_FLOW_LITRES_PER_MINUTE, SURFACE_EXPONENT);
    }

    /**
     * Share of the greatest possible heat flow that passes.
     *
     * @param transferUnits NTU, surface conductance over capacity flow of the air
     * @return the effectiveness, 0 to 1
     */
    static double effectiveness(double transferUnits) {
        return -StrictMath.expm1(-transferUnits);
    }
}
