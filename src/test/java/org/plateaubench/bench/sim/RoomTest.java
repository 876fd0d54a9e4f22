package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.plateaubench.bench.sim.Simulations.set;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.benchfile.SimulationSpec.Setting;

class RoomTest {

    private static Room room(long seed, Setting... changes) {
        List<Setting> all = new ArrayList<>(List.of(
                set(SimulationKey.AMBIENT_DRIFT, 0.0),
                set(SimulationKey.AMBIENT_WANDER, 0.0),
                set(SimulationKey.BACKGROUND_WANDER, 0.0),
                set(SimulationKey.BACKGROUND_NIGHT, 0.0),
                set(SimulationKey.GUSTS, 0.0)));
        all.addAll(List.of(changes));
        SimulationSpec spec =
                Simulations.with(all.toArray(Setting[]::new)).simulation().orElseThrow();
        return new Room(new Settings(spec, "A"), seed);
    }

    @Test
    void aCalmRoomDriftsSteadily() {
        Room room = room(1L, set(SimulationKey.AMBIENT_DRIFT, -0.2));
        room.advance(18_000.0);
        assertEquals(22.0 - 1.0, room.celsius(), 1e-9);
    }

    @Test
    void theHeatingMakesASawToothOfItsAmplitudeAndPeriod() {
        Room room = room(
                4L, set(SimulationKey.HEATING_CYCLE_AMPLITUDE, 0.5), set(SimulationKey.HEATING_CYCLE_PERIOD, 12.0));
        double least = Double.MAX_VALUE;
        double most = -Double.MAX_VALUE;
        int rising = 0;
        int peaks = 0;
        boolean rose = false;
        double last = room.celsius();
        int hours = 50;
        for (int s = 1; s <= hours * 3600; s++) {
            room.advance(s);
            boolean rises = room.celsius() > last;
            rising += rises ? 1 : 0;
            peaks += rose && !rises ? 1 : 0;
            rose = rises;
            last = room.celsius();
            least = Math.min(least, last);
            most = Math.max(most, last);
        }
        assertEquals(21.5, least, 0.01);
        assertEquals(22.5, most, 0.01);
        assertEquals(5.0 * hours, peaks, 0.05 * 5.0 * hours);
        assertEquals(1.0 / 3.0, rising / (hours * 3600.0), 0.01);
    }

    @Test
    void anOpenDoorCoolsTheRoomForAWhile() {
        Room room = room(2L, set(SimulationKey.DOOR_OPENINGS, 2.0), set(SimulationKey.DOOR_STEP, 2.0));
        double least = 22.0;
        int calmSeconds = 0;
        for (int s = 1; s <= 12 * 3600; s++) {
            room.advance(s);
            least = Math.min(least, room.celsius());
            calmSeconds += room.celsius() > 21.9 ? 1 : 0;
        }
        assertTrue(least < 21.4 && least > 19.5, least + " °C");
        assertTrue(calmSeconds > 2 * 3600, calmSeconds + " s calm");
    }

    @Test
    void gustsComeAtTheirRateAndStandAboveTheBackground() {
        Room room = room(3L, set(SimulationKey.GUSTS, 6.0), set(SimulationKey.GUST_LEVEL, 8.0));
        int gusts = 0;
        boolean blew = false;
        int hours = 60;
        for (int s = 1; s <= hours * 3600; s++) {
            room.advance(s);
            double over = room.backgroundDb() - 26.0;
            boolean blows = over > 0.0;
            assertTrue(!blows || over >= 4.0 && over <= 12.0, over + " dB");
            gusts += blows && !blew ? 1 : 0;
            blew = blows;
        }
        assertEquals(6.0 * hours, gusts, 3 * StrictMath.sqrt(6.0 * hours));
    }

    @Test
    void backgroundDiffersBetweenNightsAndWandersWithin() {
        double squares = 0.0;
        for (int night = 0; night < 200; night++) {
            double off = room(night, set(SimulationKey.BACKGROUND_NIGHT, 0.5)).backgroundDb() - 26.0;
            squares += off * off;
        }
        assertEquals(0.5, StrictMath.sqrt(squares / 200), 0.08);
        Room room = room(1L, set(SimulationKey.BACKGROUND_WANDER, 0.4));
        double within = 0.0;
        int count = 0;
        for (int s = 60; s <= 200 * 3600; s += 60) {
            room.advance(s);
            within += StrictMath.pow(room.backgroundDb() - 26.0, 2);
            count++;
        }
        assertEquals(0.4, StrictMath.sqrt(within / count), 0.06);
    }
}
