package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class RadiatorTest {

    /**
     * Validation: effectiveness at a capacity ratio of zero, as in the tables and charts of heat-transfer textbooks; the
     * relation eps = 1 - exp(-NTU) and the values are from memory, to the digits printed here.
     */
    @ParameterizedTest
    @CsvSource({"0.25, 0.221", "0.5, 0.393", "0.75, 0.528", "1, 0.632", "1.5, 0.777", "2, 0.865", "3, 0.950", "5, 0.993"
    })
    void effectivenessFollowsTheTransferUnits(double transferUnits, double effectiveness) {
        assertEquals(effectiveness, Radiator.effectiveness(transferUnits), 0.0005);
    }

    /** Validation: dry air at 20 °C and 101.325 kPa weighs 1.204 kg/m3; handbooks, from memory. */
    @Test
    void capacityFlowOfAirIsThatOfItsMass() {
        assertEquals(1.204 * 1006.0, Radiator.airCapacityFlow(60_000, 20.0, 1013.25), 0.0005 * 1006.0);
    }

    @Test
    void surfaceConductanceRisesSlowerThanFlow() {
        double single = Radiator.surfaceConductance(1000);
        double twice = Radiator.surfaceConductance(2000);
        assertTrue(twice > 1.2 * single && twice < 1.6 * single, single + " " + twice);
    }
}
