package org.plateaubench.bench.sim;

import org.plateaubench.benchfile.SimulationKey;

/** What the fans of one set have in common: how duty makes speed, and speed makes air and noise. */
final class FanModel {

    private static final double REFERENCE_RPM = 1000.0;
    private static final double RESONANCE_WIDTH = 0.02;

    private final double maxRpm;
    private final double minRpm;
    private final double minDuty;
    private final double bow;
    private final double capRpm;
    private final double airflowLitresPerMinute;
    private final double airflowLoss;
    private final double levelDb;
    private final double levelSlopeDb;
    private final double levelCurvatureDb;
    private final double resonanceRpm;
    private final double resonanceDb;

    FanModel(Settings settings) {
        maxRpm = settings.get(SimulationKey.MAX_SPEED);
        minRpm = settings.get(SimulationKey.MIN_SPEED);
        minDuty = settings.get(SimulationKey.MIN_DUTY);
        bow = settings.fraction(SimulationKey.BOW);
        capRpm = settings.get(SimulationKey.SPEED_CAP);
        airflowLitresPerMinute = settings.get(SimulationKey.AIRFLOW);
        airflowLoss = settings.fraction(SimulationKey.AIRFLOW_LOSS);
        levelDb = settings.get(SimulationKey.LEVEL);
        levelSlopeDb = settings.get(SimulationKey.LEVEL_SLOPE);
        levelCurvatureDb = settings.get(SimulationKey.LEVEL_CURVATURE);
        resonanceRpm = settings.get(SimulationKey.RESONANCE_SPEED);
        resonanceDb = settings.get(SimulationKey.RESONANCE_LEVEL);
    }

    /**
     * {@return the speed at which a running fan of the set settles, rpm}
     *
     * @param dutyPercent duty, 0 to 100 %
     */
    double runningRpm(double dutyPercent) {
        double share = Math.max(0.0, (dutyPercent - minDuty) / (100.0 - minDuty));
        double rpm = minRpm + (maxRpm - minRpm) * share + bow * maxRpm * 4.0 * share * (1.0 - share);
        return capRpm > 0.0 ? Math.min(capRpm, rpm) : rpm;
    }

    /**
     * {@return the air that the whole set moves with all its fans at one speed, L/min} Flow goes with speed (fan laws,
     * ANSI/AMCA 201), apart from the loss that the set may have towards standstill.
     *
     * @param rpm speed, rpm
     */
    double airflowLitresPerMinute(double rpm) {
        double share = rpm / maxRpm;
        return airflowLitresPerMinute * share * (1.0 - airflowLoss * Math.max(0.0, 1.0 - share));
    }

    /**
     * {@return the own level of the whole set with all its fans at one speed, dB(A); negative infinity at rest} The fan
     * laws (AMCA 301) give a slope of 50 dB a decade.
     *
     * @param rpm speed, rpm
     */
    double levelDb(double rpm) {
        if (rpm <= 0.0) {
            return Double.NEGATIVE_INFINITY;
        }
        double decades = StrictMath.log10(rpm / REFERENCE_RPM);
        double level = levelDb + levelSlopeDb * decades + levelCurvatureDb * decades * decades;
        if (resonanceDb != 0.0) {
            double off = (rpm / resonanceRpm - 1.0) / RESONANCE_WIDTH;
            level += resonanceDb * StrictMath.exp(-0.5 * off * off);
        }
        return level;
    }
}
