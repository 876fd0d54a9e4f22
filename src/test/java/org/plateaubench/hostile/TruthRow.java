package org.plateaubench.hostile;

import org.plateaubench.bench.sim.Truth;

/**
 * What is so at one moment, whatever the program believes.
 *
 * @param tick the tick whose sample was just taken; -1 once the night is over
 * @param millis the bench's own time, ms since the night began
 * @param heated true while heat is delivered
 * @param fanDutyPercent duty that drives the fans, %
 * @param pumpDutyPercent duty that drives the pump, %
 * @param fanRpm speed of each fan, rpm
 * @param pumpRpm speed of the pump, rpm
 * @param coolantCelsius temperature of the coolant's probe, °C
 * @param gainKelvin by how much the coolant is warmer behind the cold plate, K
 * @param ambientCelsius temperature of the ambient's probe, °C
 * @param sourceCelsius temperature of the source, °C
 * @param clockMegahertz the processor's clock, MHz
 * @param throttles how often it throttled so far
 * @param leaking true while coolant leaks
 */
record TruthRow(
        long tick,
        long millis,
        boolean heated,
        double fanDutyPercent,
        double pumpDutyPercent,
        double[] fanRpm,
        double pumpRpm,
        double coolantCelsius,
        double gainKelvin,
        double ambientCelsius,
        double sourceCelsius,
        double clockMegahertz,
        long throttles,
        boolean leaking) {

    static TruthRow of(long tick, long millis, Truth truth, int fans) {
        double[] rpm = new double[fans];
        for (int fan = 0; fan < fans; fan++) {
            rpm[fan] = truth.fanRpm(fan);
        }
        return new TruthRow(
                tick,
                millis,
                truth.heated(),
                truth.fanDutyPercent(),
                truth.pumpDutyPercent(),
                rpm,
                truth.pumpRpm(),
                truth.coolantProbeCelsius(),
                truth.coolantGainKelvin(),
                truth.ambientProbeCelsius(),
                truth.sourceCelsius(),
                truth.clockMegahertz(),
                truth.throttleCount(),
                truth.leaking());
    }

    boolean fansStand() {
        for (double rpm : fanRpm) {
            if (rpm > 0) {
                return false;
            }
        }
        return true;
    }

    double meanFanRpm() {
        double sum = 0;
        for (double rpm : fanRpm) {
            sum += rpm;
        }
        return sum / fanRpm.length;
    }
}
