package org.plateaubench.bench.sim;

import org.plateaubench.benchfile.SimulationKey;

/** One fan: whether it turns, and how fast. */
final class Fan {

    /** Below this a coasting rotor sticks. */
    private static final double STICKS_BELOW_RPM = 20.0;

    private final FanModel model;
    private final double factor;
    private final double startDuty;
    private final double startScatter;
    private final double stopDuty;
    private final double stopBelow;
    private final double play;
    private final double gain;
    private final double loss;
    private final long startKey;

    private int starts;
    private double nextStartDuty;
    private double effectiveDuty;
    private boolean driven;
    private boolean stalled;
    private boolean powered = true;
    private double rpm;

    /**
     * A fan at rest.
     *
     * @param model what it has in common with its set
     * @param settings numbers of the set
     * @param factor its own speed over that of the set
     * @param key key of its draws
     * @param stepSeconds length of a step, s
     */
    Fan(FanModel model, Settings settings, double factor, long key, double stepSeconds) {
        this.model = model;
        this.factor = factor;
        startDuty = settings.get(SimulationKey.START_DUTY);
        startScatter = settings.get(SimulationKey.START_SCATTER);
        stopDuty = settings.get(SimulationKey.STOP_DUTY);
        stopBelow = settings.get(SimulationKey.STOP_BELOW);
        play = settings.get(SimulationKey.HYSTERESIS);
        gain = 1.0 - StrictMath.exp(-stepSeconds / settings.get(SimulationKey.SPIN_UP));
        loss = 1.0 - StrictMath.exp(-stepSeconds / settings.get(SimulationKey.COAST_DOWN));
        startKey = Draw.key(key, "starts");
        nextStartDuty = startDutyOfNextStart();
    }

    private double startDutyOfNextStart() {
        double scatter = startScatter == 0.0 ? 0.0 : startScatter * Draw.normal(Draw.key(startKey, starts));
        return Math.max(stopDuty, startDuty + scatter);
    }

    /**
     * One step on.
     *
     * @param dutyPercent duty, 0 to 100 %
     * @param drift by how much the air's and the motor's state change the speed, as a factor
     */
    void step(double dutyPercent, double drift) {
        effectiveDuty = Math.min(dutyPercent + play / 2, Math.max(dutyPercent - play / 2, effectiveDuty));
        drive(dutyPercent);
        double target = driven && !stalled ? factor * drift * model.runningRpm(effectiveDuty) : 0.0;
        rpm += (target - rpm) * (target > rpm ? gain : loss);
        if (target == 0.0 && rpm < STICKS_BELOW_RPM) {
            rpm = 0.0;
        }
    }

    private void drive(double dutyPercent) {
        boolean mayRun = powered && dutyPercent >= Math.max(stopDuty, stopBelow);
        if (driven && !mayRun) {
            driven = false;
            starts++;
            nextStartDuty = startDutyOfNextStart();
        } else if (!driven && mayRun && dutyPercent >= nextStartDuty) {
            driven = true;
        }
    }

    /** Jumps to where the fan would settle, as after a long time at this duty. */
    void settle(double dutyPercent) {
        effectiveDuty = dutyPercent;
        drive(dutyPercent);
        rpm = driven ? factor * model.runningRpm(dutyPercent) : 0.0;
    }

    /**
     * Holds the rotor, or lets it go.
     *
     * @param held true to hold it
     */
    void stall(boolean held) {
        stalled = held;
    }

    /**
     * Switches its supply.
     *
     * @param on false to take it away
     */
    void power(boolean on) {
        powered = on;
    }

    /** {@return its speed over that of the set} */
    double factor() {
        return factor;
    }

    /** {@return its speed, rpm} */
    double rpm() {
        return rpm;
    }
}
