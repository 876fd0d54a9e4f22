package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.benchfile.SimulationSpec.Setting;

class FanTest {

    private static final double STEP_SECONDS = 0.25;

    private static Fan fan(Setting... changes) {
        SimulationSpec spec = Simulations.with(changes).simulation().orElseThrow();
        Settings settings = new Settings(spec, "A");
        return new Fan(new FanModel(settings), settings, 1.0, 77L, STEP_SECONDS);
    }

    private static double settled(Fan fan, double duty) {
        for (int i = 0; i < 200; i++) {
            fan.step(duty, 1.0);
        }
        return fan.rpm();
    }

    private static Setting set(SimulationKey key, double value) {
        return new Setting(key, value);
    }

    /** The lowest duty in half per cents at which it runs, coming from rest each time. */
    private static double startsAt(Fan fan) {
        for (double duty = 0.0; duty <= 100.0; duty += 0.5) {
            settled(fan, 0.0);
            if (settled(fan, duty) > 0.0) {
                return duty;
            }
        }
        return Double.NaN;
    }

    /** The highest duty in half per cents at which it has stopped, coming down from full duty. */
    private static double stopsAt(Fan fan) {
        settled(fan, 100.0);
        for (double duty = 100.0; duty >= 0.0; duty -= 0.5) {
            if (settled(fan, duty) == 0.0) {
                return duty;
            }
        }
        return Double.NaN;
    }

    @Test
    void startsAboveWhereItStops() {
        Fan fan = fan(set(SimulationKey.START_DUTY, 28.0), set(SimulationKey.STOP_DUTY, 20.0));
        assertEquals(28.0, startsAt(fan));
        assertEquals(19.5, stopsAt(fan));
    }

    @Test
    void neverStopsWithoutAStopDuty() {
        Fan fan = fan(set(SimulationKey.START_DUTY, 0.0), set(SimulationKey.STOP_DUTY, 0.0));
        assertEquals(300.0, settled(fan, 0.0), 1e-6);
    }

    @Test
    void stopsBelowItsThresholdAndKeepsItsCap() {
        Fan fan = fan(set(SimulationKey.STOP_BELOW, 50.0), set(SimulationKey.SPEED_CAP, 1400.0));
        assertEquals(49.5, stopsAt(fan));
        assertEquals(50.0, startsAt(fan));
        assertEquals(1400.0, settled(fan, 100.0), 1e-6);
    }

    @Test
    void aStickyFanStartsAtAnotherDutyEachTime() {
        Fan fan = fan(set(SimulationKey.START_SCATTER, 4.0), set(SimulationKey.START_DUTY, 30.0));
        TreeSet<Double> starts = new TreeSet<>();
        for (int i = 0; i < 5; i++) {
            starts.add(startsAt(fan));
        }
        assertTrue(starts.size() >= 3, starts.toString());
        assertTrue(starts.first() >= 15.0, starts.toString());
    }

    @Test
    void speedDependsOnWhereTheDutyCameFrom() {
        Fan fan = fan(set(SimulationKey.HYSTERESIS, 8.0));
        settled(fan, 20.0);
        double fromBelow = settled(fan, 60.0);
        settled(fan, 100.0);
        double fromAbove = settled(fan, 60.0);
        assertEquals(8.0 * 1700.0 / 85.0, fromAbove - fromBelow, 1e-4);
    }

    @Test
    void gainsAndLosesSpeedWithItsTimeConstants() {
        Fan fan = fan(set(SimulationKey.SPIN_UP, 2.0), set(SimulationKey.COAST_DOWN, 4.0));
        settled(fan, 0.0);
        for (int i = 0; i < 8; i++) {
            fan.step(100.0, 1.0);
        }
        assertEquals(2000.0 * (1 - StrictMath.exp(-1)), fan.rpm(), 1e-6);
        settled(fan, 100.0);
        for (int i = 0; i < 16; i++) {
            fan.step(0.0, 1.0);
        }
        assertEquals(2000.0 * StrictMath.exp(-1), fan.rpm(), 1e-3);
    }

    @Test
    void aHeldRotorStandsStillAndTurnsAgainWhenLetGo() {
        Fan fan = fan();
        settled(fan, 60.0);
        fan.stall(true);
        assertEquals(0.0, settled(fan, 60.0));
        fan.stall(false);
        assertEquals(1200.0, settled(fan, 60.0), 1e-6);
    }
}
