package org.plateaubench.equilibrium;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class HeatingCycleTest {

    private static BlockMeans blocks(double[] ambient, double[] noise, double step) {
        BlockMeans blocks = new BlockMeans(1);
        for (int i = 0; i < ambient.length; i++) {
            blocks.add(i, Simulated.shown(ambient[i] + noise[i], step));
        }
        return blocks;
    }

    @Test
    void findsPeriodAndAmplitudeOfASine() {
        BlockMeans blocks = new BlockMeans(1);
        for (int i = 0; i < 5_400; i++) {
            blocks.add(i, 22.0 + 1e-4 * i + 0.4 * StrictMath.sin(2.0 * StrictMath.PI * i / 700.0 + 1.0));
        }
        HeatingCycle cycle = HeatingCycle.find(blocks).orElseThrow();
        assertEquals(700.0, cycle.periodSeconds(), 2.0);
        assertEquals(0.4, cycle.amplitudeKelvin(), 0.004);
        assertTrue(cycle.explainedShare() > 0.99);
    }

    @ParameterizedTest
    @ValueSource(doubles = {600.0, 720.0, 900.0})
    void findsAnUnpunctualHeatingInNoise(double period) {
        for (long seed = 1; seed <= Simulated.repetitions(5); seed++) {
            Random random = new Random(seed);
            double[] room = Simulated.room(random, 5_400, 0.5, period, 0.1);
            double[] noise = Simulated.noise(random, 5_400, 0.05, 0.8);
            HeatingCycle cycle = HeatingCycle.find(blocks(room, noise, 0.0625)).orElseThrow();
            assertEquals(period, cycle.periodSeconds(), 0.2 * period, "seed " + seed);
        }
    }

    @Test
    void findsNoneWhereTheRoomOnlyDriftsAndWanders() {
        int found = 0;
        int rooms = Simulated.repetitions(20);
        for (long seed = 1; seed <= rooms; seed++) {
            Random random = new Random(seed);
            double[] room = new double[5_400];
            double drift = 0.3 * random.nextGaussian() / 3600.0;
            for (int i = 0; i < room.length; i++) {
                double before = i == 0 ? 22.0 : room[i - 1];
                room[i] = before + drift + 0.002 * random.nextGaussian();
            }
            double[] noise = Simulated.noise(random, room.length, 0.05, 0.8);
            found += HeatingCycle.find(blocks(room, noise, 0.0625)).isPresent() ? 1 : 0;
        }
        assertTrue(found <= 0.05 * rooms, found + " of " + rooms + " rooms without heating");
    }

    @Test
    void needsThreeCyclesAndSomethingToSee() {
        BlockMeans shortRoom = new BlockMeans(1);
        BlockMeans still = new BlockMeans(1);
        for (int i = 0; i < 1_500; i++) {
            shortRoom.add(i, 22.0 + 0.5 * StrictMath.sin(2.0 * StrictMath.PI * i / 900.0));
            still.add(i, 22.0);
        }
        assertEquals(Optional.empty(), HeatingCycle.find(shortRoom));
        assertEquals(Optional.empty(), HeatingCycle.find(still));
        assertEquals(Optional.empty(), HeatingCycle.find(new BlockMeans(1)));
    }
}
