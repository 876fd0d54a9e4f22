package org.plateaubench.thermal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

class HeatTest {

    /** Validation: IAPWS-95 and the independent IAPWS-IF97 and handbook columns, to 0.05 %. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/coolant/water-iapws.csv", numLinesToSkip = 1)
    void waterAgreesWithIapwsAndHandbook(
            double celsius,
            double density95,
            double cp95,
            double densityIf97,
            double cpIf97,
            String densityCipm,
            double densityHandbook,
            double rhoCp) {
        double density = Water.densityKilogramsPerCubicMetre(celsius);
        double cp = Water.specificHeatJoulesPerKilogramKelvin(celsius);
        assertEquals(density95, density, 1e-9);
        assertEquals(densityIf97, density, 5e-4 * density);
        assertEquals(densityHandbook, density, 0.01);
        assertEquals(cp95, cp, 1e-9);
        assertEquals(cpIf97, cp, 1e-3 * cp);
        assertEquals(rhoCp, density * cp / 1000.0, 0.051);
    }

    /** Validation: computed with the full equation of state at temperatures between the knots, to 0.01 %. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/coolant/heat-balance-computed.csv", numLinesToSkip = 1)
    void heatBalanceAgreesWithTheEquationOfState(
            double flow,
            double inlet,
            double outlet,
            double mean,
            double density,
            double cp,
            double watts,
            double wattsByEnthalpy) {
        assertEquals(density, Water.densityKilogramsPerCubicMetre(mean), 1e-5 * density);
        assertEquals(cp, Water.specificHeatJoulesPerKilogramKelvin(mean), 1e-5 * cp);
        assertEquals(watts, HeatBalance.watts(flow, inlet, outlet), 1e-4 * watts);
        assertEquals(wattsByEnthalpy, HeatBalance.watts(flow, inlet, outlet), 5e-3 * watts);
    }

    /** Validation: dry air at 15 °C and 1013.25 hPa is 1.2250 kg/m³ in ISO 2533, the standard atmosphere. */
    @Test
    void airHasTheDensityOfTheStandardAtmosphere() {
        assertEquals(1.2250, Air.densityKilogramsPerCubicMetre(15.0, 1013.25, 0.0), 1.2250 * 5e-4);
    }

    @Test
    void airThinsWithPressureWarmthAndMoisture() {
        double density = Air.densityKilogramsPerCubicMetre(20.0, 1013.25, 50.0);
        assertEquals(0.03, 1.0 - Air.densityKilogramsPerCubicMetre(20.0, 983.25, 50.0) / density, 5e-4);
        assertEquals(
                1.0 / 293.15,
                1.0
                        - Air.densityKilogramsPerCubicMetre(21.0, 1013.25, 0.0)
                                / Air.densityKilogramsPerCubicMetre(20.0, 1013.25, 0.0),
                2e-5);
        // water vapour weighs 0.622 of air: 11.69 hPa of it (half saturation at 20 °C) lighten by 0.378*11.69/1013.25
        assertEquals(
                0.378 * 11.69 / 1013.25, 1.0 - density / Air.densityKilogramsPerCubicMetre(20.0, 1013.25, 0.0), 1e-4);
    }

    @Test
    void resistanceIsRiseOverPowerBetweenNamedEnds() {
        assertEquals(
                new ThermalResistance("coolant", "ambient", 0.05),
                ThermalResistance.of("coolant", "ambient", 10.0, 200.0));
        assertThrows(IllegalArgumentException.class, () -> ThermalResistance.of("coolant", "coolant", 10.0, 200.0));
        assertThrows(IllegalArgumentException.class, () -> ThermalResistance.of("coolant", "ambient", 10.0, 0.0));
        assertThrows(IllegalArgumentException.class, () -> ThermalResistance.of("coolant", "ambient", Double.NaN, 1.0));
    }

    @Test
    void riseIsCorrectedToNominalPowerAndSpeed() {
        NominalConditions nominal = new NominalConditions(200.0, 900.0, -0.8);
        assertEquals(10.0, nominal.correct(10.0, 200.0, 900.0));
        assertEquals(10.0, nominal.correct(10.1, 202.0, 900.0), 1e-12);
        double truth = 10.0 * StrictMath.pow(910.0 / 900.0, -0.8);
        assertEquals(10.0, nominal.correct(truth, 200.0, 910.0), 1e-12);
        assertThrows(IllegalArgumentException.class, () -> nominal.correct(10.0, 200.0, 0.0));
        assertThrows(IllegalArgumentException.class, () -> new NominalConditions(200.0, 900.0, 0.5));
    }

    @Test
    void waterAndAirRefuseWhatIsOutsideTheirRange() {
        assertThrows(IllegalArgumentException.class, () -> Water.densityKilogramsPerCubicMetre(14.9));
        assertThrows(IllegalArgumentException.class, () -> HeatBalance.watts(4.0, Double.NaN, 30.0));
        assertThrows(IllegalArgumentException.class, () -> Air.densityKilogramsPerCubicMetre(20.0, 0.0, 50.0));
        assertThrows(IllegalArgumentException.class, () -> Air.densityKilogramsPerCubicMetre(20.0, 1013.0, 101.0));
    }
}
