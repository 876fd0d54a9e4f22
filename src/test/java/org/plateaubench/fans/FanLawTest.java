package org.plateaubench.fans;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;
import org.junit.jupiter.params.provider.CsvSource;

class FanLawTest {

    /** Validation: worked examples, published figures to their digits, computed ones to 1e-6. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/fans/fan-laws-worked.csv", numLinesToSkip = 1)
    void reproducesWorkedExamples(
            String source,
            String driver,
            double driver1,
            double driver2,
            String driverUnit,
            String quantity,
            String unit,
            double value1,
            String exponent,
            String published,
            String computed) {
        double speedRatio = driver.equals("shaft power")
                ? FanLaw.POWER.speedRatio(driver2 / driver1)
                : driver2 / driver1; // of one fan, flow and speed change alike
        FanLaw law = quantity.endsWith("power")
                ? FanLaw.POWER
                : quantity.endsWith("pressure") ? FanLaw.PRESSURE : FanLaw.FLOW;
        double value2 = value1 * law.ratio(speedRatio, 1.0, 1.0);
        assertEquals(Double.parseDouble(computed), value2, 1e-6);
        int point = published.indexOf('.');
        int decimals = point < 0 ? 0 : published.length() - 1 - point;
        assertEquals(Double.parseDouble(published), value2, 0.5 * StrictMath.pow(10.0, -decimals));
    }

    /** Validation: exponents of the handbook, seen through a doubling of one ratio at a time. */
    @ParameterizedTest
    @CsvSource({"FLOW, 2, 8, 1", "PRESSURE, 4, 4, 2", "POWER, 8, 32, 2"})
    void hasTheExponentsOfTheHandbook(FanLaw law, double speed, double diameter, double density) {
        assertEquals(speed, law.ratio(2.0, 1.0, 1.0));
        assertEquals(diameter, law.ratio(1.0, 2.0, 1.0));
        assertEquals(density, law.ratio(1.0, 1.0, 2.0));
        assertEquals(1.7, law.speedRatio(law.ratio(1.7, 1.0, 1.0)), 1e-14);
    }

    /** Validation: formula of ANSI/AMCA 301. */
    @ParameterizedTest
    @CsvFileSource(resources = "/reference/fans/fan-sound-and-ratios-computed.csv", numLinesToSkip = 1)
    void reproducesSoundAndRatios(
            double speed1, double speed2, double changeDb, double rounded, double flow, double pressure, double power) {
        double ratio = speed2 / speed1;
        assertEquals(changeDb, FanLaw.soundPowerLevelChangeDb(ratio, 1.0, 1.0), 1e-4);
        assertEquals(flow, FanLaw.FLOW.ratio(ratio, 1.0, 1.0), 1e-6);
        assertEquals(pressure, FanLaw.PRESSURE.ratio(ratio, 1.0, 1.0), 1e-6);
        assertEquals(power, FanLaw.POWER.ratio(ratio, 1.0, 1.0), 1e-6);
    }

    @Test
    void soundGoesWithDiameterAndDensityToo() {
        assertEquals(70.0, FanLaw.soundPowerLevelChangeDb(1.0, 10.0, 1.0), 1e-12);
        assertEquals(20.0, FanLaw.soundPowerLevelChangeDb(1.0, 1.0, 10.0), 1e-12);
    }

    @Test
    void refusesImpossibleRatios() {
        assertThrows(IllegalArgumentException.class, () -> FanLaw.FLOW.ratio(-1.0, 1.0, 1.0));
        assertThrows(IllegalArgumentException.class, () -> FanLaw.FLOW.ratio(1.0, 0.0, 1.0));
        assertThrows(IllegalArgumentException.class, () -> FanLaw.soundPowerLevelChangeDb(0.0, 1.0, 1.0));
        assertThrows(IllegalArgumentException.class, () -> FanLaw.POWER.speedRatio(Double.NaN));
    }
}
