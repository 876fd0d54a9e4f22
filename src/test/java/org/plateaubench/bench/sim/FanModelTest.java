package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.benchfile.SimulationSpec.Setting;

class FanModelTest {

    private static FanModel model(Setting... changes) {
        SimulationSpec spec = Simulations.with(changes).simulation().orElseThrow();
        return new FanModel(new Settings(spec, "A"));
    }

    static Stream<double[]> fanLaws() throws IOException {
        String resource = "/reference/fans/fan-sound-and-ratios-computed.csv";
        try (BufferedReader reader = new BufferedReader(
                new InputStreamReader(FanModelTest.class.getResourceAsStream(resource), StandardCharsets.UTF_8))) {
            List<double[]> rows = reader.lines()
                    .skip(1)
                    .map(line -> Stream.of(line.split(","))
                            .mapToDouble(Double::parseDouble)
                            .toArray())
                    .toList();
            return rows.stream();
        }
    }

    /** Validation: the fan laws' rows, to the digits of the file (0.0001 dB, 1e-6). */
    @ParameterizedTest
    @MethodSource("fanLaws")
    void levelAndFlowFollowTheFanLaws(double[] row) {
        FanModel model = model();
        assertEquals(row[2], model.levelDb(row[1]) - model.levelDb(row[0]), 0.00005);
        assertEquals(row[4], model.airflowLitresPerMinute(row[1]) / model.airflowLitresPerMinute(row[0]), 0.0000005);
    }

    @Test
    void airflowLossVanishesAtTheHighestSpeed() {
        FanModel lossy = model(new Setting(SimulationKey.AIRFLOW_LOSS, 12.0));
        FanModel plain = model();
        assertEquals(plain.airflowLitresPerMinute(2000), lossy.airflowLitresPerMinute(2000), 1e-9);
        assertEquals(0.94 * plain.airflowLitresPerMinute(1000), lossy.airflowLitresPerMinute(1000), 1e-9);
    }

    @Test
    void speedRisesInAStraightLineFromTheSlowest() {
        FanModel model = model();
        assertEquals(300.0, model.runningRpm(5.0), 1e-9);
        assertEquals(300.0, model.runningRpm(15.0), 1e-9);
        assertEquals(1150.0, model.runningRpm(57.5), 1e-9);
        assertEquals(2000.0, model.runningRpm(100.0), 1e-9);
    }

    @Test
    void capAndBowBendTheLine() {
        assertEquals(1400.0, model(new Setting(SimulationKey.SPEED_CAP, 1400.0)).runningRpm(100.0), 1e-9);
        assertEquals(1150.0 + 100.0, model(new Setting(SimulationKey.BOW, 5.0)).runningRpm(57.5), 1e-9);
    }

    @Test
    void resonanceAndCurvatureAddToTheLevelWhereTheyShould() {
        FanModel plain = model();
        FanModel resonant = model(
                new Setting(SimulationKey.RESONANCE_SPEED, 1400.0), new Setting(SimulationKey.RESONANCE_LEVEL, 6.0));
        assertEquals(6.0, resonant.levelDb(1400) - plain.levelDb(1400), 1e-9);
        assertEquals(0.0, resonant.levelDb(1100) - plain.levelDb(1100), 1e-6);
        FanModel curved = model(new Setting(SimulationKey.LEVEL_CURVATURE, 20.0));
        assertEquals(5.0, curved.levelDb(1000 * StrictMath.sqrt(10)) - plain.levelDb(1000 * StrictMath.sqrt(10)), 1e-9);
        assertEquals(plain.levelDb(1000), curved.levelDb(1000), 1e-12);
    }

    @Test
    void aFanAtRestMakesNoSound() {
        assertTrue(model().levelDb(0.0) == Double.NEGATIVE_INFINITY);
    }
}
