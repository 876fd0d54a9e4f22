package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.plateaubench.bench.sim.Simulations.calmTruth;
import static org.plateaubench.bench.sim.Simulations.set;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.benchfile.SimulationKey;

class TruthTest {

    private static final long SECOND = 1000;
    private static final long MINUTE = 60 * SECOND;
    private static final long HOUR = 60 * MINUTE;
    /** Duty at which the pump turns at 2700 rpm. */
    private static final double PUMP_DUTY = 1900.0 / 22.0;

    /** Duty at which a fan of the shipped sets turns at this speed. */
    private static double duty(double rpm) {
        return 15.0 + 85.0 * (rpm - 300.0) / 1700.0;
    }

    private static Truth idle(double rpm, Truth truth) {
        truth.setFanDuty(duty(rpm));
        truth.setPumpDuty(PUMP_DUTY);
        truth.advanceTo(truth.millis() + 6 * HOUR);
        return truth;
    }

    private static double steady(Truth truth, double watts) {
        return truth.steadyRiseKelvin(truth.meanFanRpm(), watts, truth.ambientCelsius(), truth.pumpRpm());
    }

    @ParameterizedTest
    @CsvSource({"700, 12.5, 13.5", "1100, 9.2, 10.2", "1900, 6.5, 7.5"})
    void riseAt200WattsLiesWhereSuchLoopsLie(double rpm, double least, double most) {
        double rise = calmTruth("A").steadyRiseKelvin(rpm, 200.0);
        assertTrue(rise > least && rise < most, rise + " K");
    }

    @ParameterizedTest
    @ValueSource(strings = {"A", "B"})
    void movingOnInTimeEndsAtTheHeatBalance(String fanSet) {
        for (double rpm : new double[] {700, 1100, 1900}) {
            Truth truth = idle(rpm, calmTruth(fanSet));
            truth.setWorkload(200.0);
            truth.advanceTo(truth.millis() + 8 * HOUR);
            assertEquals(steady(truth, 200.0), truth.riseKelvin(), 1e-4, rpm + " rpm");
        }
    }

    @Test
    void movingOnInTimeEndsAtTheHeatBalanceWithEveryMismatchToo() {
        Truth truth = idle(
                900,
                calmTruth(
                        "A",
                        set(SimulationKey.RECIRCULATION, 8.0),
                        set(SimulationKey.SLOW_MODE_SHARE, 10.0),
                        set(SimulationKey.NIGHT_EFFECT, 0.3),
                        set(SimulationKey.SPREAD, 5.0),
                        set(SimulationKey.SPEED_DRIFT, 1.0),
                        set(SimulationKey.AIR_PRESSURE, 950.0)));
        truth.setWorkload(150.0);
        truth.advanceTo(truth.millis() + 10 * HOUR);
        assertEquals(steady(truth, 150.0), truth.riseKelvin(), 1e-4);
    }

    @ParameterizedTest
    @CsvSource({"700, 430, 480", "1900, 235, 270"})
    void fastTimeConstantFallsWithSpeed(double rpm, double least, double most) {
        Truth truth = idle(rpm, calmTruth("A", set(SimulationKey.SLOW_MODE_SHARE, 0.0)));
        double from = truth.riseKelvin();
        double to = steady(truth, 200.0);
        truth.setWorkload(200.0);
        long began = truth.millis();
        while (truth.riseKelvin() < to - (to - from) * StrictMath.exp(-1)) {
            truth.advanceTo(truth.millis() + SECOND);
        }
        double seconds = (truth.millis() - began) / 1000.0;
        assertTrue(seconds > least && seconds < most, seconds + " s");
    }

    @ParameterizedTest
    @CsvSource({"3, 1500", "10, 1500", "10, 2400"})
    void slowModeHasItsShareAndItsTimeConstant(double share, double seconds) {
        Truth truth = idle(
                1100,
                calmTruth(
                        "A",
                        set(SimulationKey.SLOW_MODE_SHARE, share),
                        set(SimulationKey.SLOW_MODE_TIME_CONSTANT, seconds)));
        double from = truth.riseKelvin();
        double to = steady(truth, 200.0);
        truth.setWorkload(200.0);
        long began = truth.millis();
        // Late enough for the fast mode to have died out.
        truth.advanceTo(began + 5400 * SECOND);
        double early = to - truth.riseKelvin();
        truth.advanceTo(began + 9000 * SECOND);
        double late = to - truth.riseKelvin();
        double found = 3600.0 / StrictMath.log(early / late);
        assertEquals(seconds, found, 0.01 * seconds);
        assertEquals(share, 100.0 * early * StrictMath.exp(5400.0 / found) / (to - from), 0.05 * share);
    }

    @ParameterizedTest
    @ValueSource(doubles = {700, 1100, 1700})
    void coolsDownToIdleEquilibriumIn20To45Minutes(double rpm) {
        Truth truth = idle(rpm, calmTruth("A"));
        truth.setWorkload(200.0);
        truth.advanceTo(truth.millis() + 3 * HOUR);
        truth.setWorkload(0.0);
        truth.setFanDuty(60.0);
        long began = truth.millis();
        double before;
        do {
            before = truth.riseKelvin();
            truth.advanceTo(truth.millis() + MINUTE);
        } while (60.0 * (before - truth.riseKelvin()) > 1.0 || truth.riseKelvin() - steady(truth, 5.0) > 0.5);
        double minutes = (truth.millis() - began) / 60_000.0;
        assertTrue(minutes >= 20 && minutes <= 45, minutes + " min");
    }

    /** Common practice, no source: a three-fan radiator carries 240 W with a coolant rise of some ten to fifteen kelvin. */
    @Test
    void threeFansCarry240Watts() {
        double rise = calmTruth("A").steadyRiseKelvin(1000.0, 240.0);
        assertTrue(rise > 10.0 && rise < 15.0, rise + " K");
    }

    @Test
    void energyBalanceCloses() {
        Truth truth = calmTruth("A", set(SimulationKey.SLOW_MODE_SHARE, 10.0));
        truth.setFanDuty(40.0);
        double stored = truth.storedJoule();
        double given = 0.0;
        double taken = 0.0;
        for (int i = 0; i < 4 * 3600 * 2; i++) {
            if (i == 400) {
                truth.setWorkload(200.0);
            }
            if (i == 4 * 3600) {
                truth.setWorkload(0.0);
                truth.setFanDuty(90.0);
            }
            truth.advanceTo(truth.millis() + Truth.STEP_MILLIS);
            given += 0.25 * (truth.sourceWatts() + truth.pumpWatts());
            taken += 0.25 * truth.airWatts();
        }
        assertTrue(given > 500_000, given + " J");
        assertEquals(truth.storedJoule() - stored, given - taken, 1e-3);
    }

    @Test
    void setsDifferAtLowSpeedAndAgreeAtTheTop() {
        Truth a = calmTruth("A");
        Truth b = calmTruth("B");
        assertEquals(0.75, b.steadyRiseKelvin(700, 200) - a.steadyRiseKelvin(700, 200), 0.01);
        assertEquals(0.34, b.steadyRiseKelvin(1100, 200) - a.steadyRiseKelvin(1100, 200), 0.01);
        assertEquals(0.08, b.steadyRiseKelvin(1700, 200) - a.steadyRiseKelvin(1700, 200), 0.01);
        assertEquals(0.0, b.steadyRiseKelvin(2000, 200) - a.steadyRiseKelvin(2000, 200), 1e-9);
        assertEquals(0.0, b.ownLevelDb(2000) - a.ownLevelDb(2000), 0.01);
        assertEquals(a.ownLevelDb(700), b.ownLevelDb(714.5), 0.01);
        assertEquals(0.54, b.steadyRiseKelvin(714.5, 200) - a.steadyRiseKelvin(700, 200), 0.01);
    }

    @Test
    void processorIs25To35KelvinOverTheCoolantAt200Watts() {
        Truth truth = idle(1100, calmTruth("A"));
        truth.setWorkload(200.0);
        truth.advanceTo(truth.millis() + HOUR);
        double over = truth.sourceCelsius() - truth.coolantCelsius();
        assertTrue(over > 25 && over < 35, over + " K");
        assertEquals(4300.0, truth.clockMegahertz());
        assertEquals(0, truth.throttleCount());
        assertEquals(200.0, truth.sourceWatts());
    }

    @Test
    void heatAcrossTheColdPlateIsThatOfFlowAndGain() {
        Truth truth = idle(1100, calmTruth("A"));
        truth.setWorkload(150.0);
        truth.advanceTo(truth.millis() + 8 * HOUR);
        // Validation: 150 W at 4 L/min is 0.54 K (notes of the trade; water's rho c from the IAPWS tables).
        assertEquals(0.54, truth.coolantGainKelvin(), 0.005);
    }

    @Test
    void withoutThePumpTheProcessorThrottles() {
        Truth truth = idle(1100, calmTruth("A"));
        truth.setWorkload(200.0);
        truth.advanceTo(truth.millis() + HOUR);
        truth.blockPump(true);
        truth.advanceTo(truth.millis() + 5 * MINUTE);
        assertEquals(0.0, truth.pumpRpm(), 1e-6);
        assertTrue(truth.throttleCount() > 0);
        assertTrue(truth.clockMegahertz() < 4200.0);
        assertTrue(truth.sourceCelsius() > 100.0 && truth.sourceCelsius() < 115.0, truth.sourceCelsius() + " °C");
    }

    @Test
    void aHeldFanWarmsTheCoolant() {
        Truth truth = idle(1100, calmTruth("A"));
        truth.setWorkload(200.0);
        truth.advanceTo(truth.millis() + 3 * HOUR);
        double before = truth.riseKelvin();
        truth.stallFan(2, true);
        truth.advanceTo(truth.millis() + HOUR);
        assertEquals(0.0, truth.fanRpm(2));
        assertTrue(truth.riseKelvin() > before + 1.0);
    }

    @Test
    void withoutAnyFanHeatStillLeaves() {
        Truth truth = idle(1100, calmTruth("A"));
        for (int fan = 0; fan < 3; fan++) {
            truth.stallFan(fan, true);
        }
        truth.setSupply(20.0);
        truth.advanceTo(truth.millis() + 200 * HOUR);
        assertEquals((20.0 + 8.0) / 0.5, truth.riseKelvin(), 0.01);
    }

    @Test
    void nightAndMountEffectsHaveTheirSize() {
        var spec = Simulations.with(set(SimulationKey.NIGHT_EFFECT, 0.05), set(SimulationKey.MOUNT_EFFECT, 0.0))
                .simulation()
                .orElseThrow();
        double typical = calmTruth("A").steadyRiseKelvin(1100, 200);
        double sum = 0.0;
        int nights = 400;
        for (int i = 0; i < nights; i++) {
            Truth truth = new Truth(new Settings(spec, "A"), 3, 1L, 1L, Draw.key(3L, i));
            double off = truth.steadyRiseKelvin(1100, 200) - typical;
            sum += off * off;
        }
        // A standard deviation from 400 draws is good to 7 % (95 %).
        assertEquals(0.05, StrictMath.sqrt(sum / nights), 0.005);
    }

    @Test
    void denseAirCarriesMoreHeat() {
        Truth truth = calmTruth("A");
        Truth high = calmTruth("A", set(SimulationKey.AIR_PRESSURE, 983.25));
        double more = high.steadyRiseKelvin(700, 200) - truth.steadyRiseKelvin(700, 200);
        assertTrue(more > 0.1 && more < 0.35, more + " K for 30 hPa");
    }

    @Test
    void recirculationWarmsMoreAtLowSpeed() {
        Truth plain = calmTruth("A");
        Truth back = calmTruth("A", set(SimulationKey.RECIRCULATION, 5.0));
        double low = back.steadyRiseKelvin(700, 200) - plain.steadyRiseKelvin(700, 200);
        double high = back.steadyRiseKelvin(1900, 200) - plain.steadyRiseKelvin(1900, 200);
        // The heat over the capacity flow of the air is r/(1-r) of the exhaust's own rise.
        assertEquals(0.05 / 0.95 * 208.0 / 21.1, low, 0.04);
        assertTrue(high < low / 2);
    }

    @Test
    void courseDoesNotDependOnHowOftenItIsLookedAt() {
        Truth often = calmTruth("B", set(SimulationKey.HEATING_CYCLE_AMPLITUDE, 0.5));
        Truth once = calmTruth("B", set(SimulationKey.HEATING_CYCLE_AMPLITUDE, 0.5));
        for (Truth truth : new Truth[] {often, once}) {
            truth.setWorkload(180.0);
            truth.setFanDuty(50.0);
        }
        for (long at = 0; at <= HOUR; at += 137) {
            often.advanceTo(at);
        }
        often.advanceTo(HOUR);
        once.advanceTo(HOUR);
        assertEquals(once.coolantCelsius(), often.coolantCelsius());
        assertEquals(once.ambientProbeCelsius(), often.ambientProbeCelsius());
    }

    @Test
    void probesLagBehindTheRoom() {
        Truth truth = calmTruth(
                "A",
                set(SimulationKey.AMBIENT_DRIFT, 4.0),
                set(SimulationKey.AMBIENT_PROBE_LAG, 60.0),
                set(SimulationKey.PROBE_LAG, 10.0));
        truth.advanceTo(2 * HOUR);
        assertEquals(4.0 * 60.0 / 3600.0, truth.ambientCelsius() - truth.ambientProbeCelsius(), 0.001);
        assertEquals(4.0 * 10.0 / 3600.0, truth.coolantCelsius() - truth.coolantProbeCelsius(), 0.001);
    }
}
