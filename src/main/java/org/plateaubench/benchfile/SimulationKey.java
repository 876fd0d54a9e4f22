package org.plateaubench.benchfile;

import org.plateaubench.units.Unit;

/**
 * The named numbers that a simulated bench file may set. Those of a fan set stand under {@code sets}, the others under
 * {@code settings}. "Spread" and "effect" mean a standard deviation from which one value is drawn.
 */
public enum SimulationKey {
    // The heat path.
    /** Share of the rise that belongs to the slow mode (chassis), at 1100 rpm of the default fan set. */
    SLOW_MODE_SHARE("slow-mode-share", Unit.PERCENT, false, 3.0, 0.0, 50.0),
    /** Time constant of the slow mode, at 1100 rpm of the default fan set. */
    SLOW_MODE_TIME_CONSTANT("slow-mode-time-constant", Unit.SECOND, false, 1500.0, 600.0, 20000.0),
    /** Heat that the pump gives to the coolant at 2700 rpm. */
    PUMP_HEAT("pump-heat", Unit.WATT, false, 8.0, 0.0, 100.0),
    /** Heat flow of the processor while no workload runs. */
    IDLE_POWER("idle-power", Unit.WATT, false, 5.0, 0.0, 100.0),
    /** Spread of the power from run to run of a workload. */
    POWER_SPREAD("power-spread", Unit.PERCENT, false, 0.3, 0.0, 10.0),
    /** Share of the exhaust air that comes back to the radiator, unseen by the ambient probe. */
    RECIRCULATION("recirculation", Unit.PERCENT, false, 0.0, 0.0, 50.0),
    /** Spread between nights of the rise at 200 W and 1100 rpm; acts in proportion to the rise. */
    NIGHT_EFFECT("night-effect", Unit.KELVIN, false, 0.02, 0.0, 1.0),
    /** Spread between mounts of a fan set of the rise at 200 W and 1100 rpm; acts in proportion to the rise. */
    MOUNT_EFFECT("mount-effect", Unit.KELVIN, false, 0.03, 0.0, 1.0),

    // The room's air.
    /** Temperature of the room when the night begins. */
    AMBIENT("ambient", Unit.CELSIUS, false, 22.0, 5.0, 40.0),
    /** Steady drift of the room's temperature. */
    AMBIENT_DRIFT("ambient-drift", Unit.KELVIN_PER_HOUR, false, -0.1, -5.0, 5.0),
    /** Spread of the room's slow random wander, which changes over half an hour. */
    AMBIENT_WANDER("ambient-wander", Unit.KELVIN, false, 0.05, 0.0, 5.0),
    /** Half the saw-tooth that the room's heating makes, from its middle to its peak. */
    HEATING_CYCLE_AMPLITUDE("heating-cycle-amplitude", Unit.KELVIN, false, 0.0, 0.0, 5.0),
    /** Mean length of a heating cycle: a third of it heating, the rest cooling. */
    HEATING_CYCLE_PERIOD("heating-cycle-period", Unit.MINUTE, false, 12.0, 1.0, 120.0),
    /** Spread of the lengths of heating cycles. */
    HEATING_CYCLE_JITTER("heating-cycle-jitter", Unit.PERCENT, false, 10.0, 0.0, 30.0),
    /** How often an hour somebody opens the door, for one to three minutes. */
    DOOR_OPENINGS("door-openings", Unit.ONE, false, 0.0, 0.0, 6.0),
    /** By how much the room would cool if the door stayed open. */
    DOOR_STEP("door-step", Unit.KELVIN, false, 1.5, -10.0, 10.0),
    /** Air pressure. */
    AIR_PRESSURE("air-pressure", Unit.HECTOPASCAL, false, 1013.25, 500.0, 1100.0),

    // The room's sound.
    /** Mean sound level of room and bench with the fans stopped. */
    BACKGROUND_LEVEL("background-level", Unit.DECIBEL, false, 26.0, 0.0, 80.0),
    /** Spread between nights of the background. */
    BACKGROUND_NIGHT("background-night", Unit.DECIBEL, false, 0.5, 0.0, 10.0),
    /** Spread of the background's slow wander, which changes over twenty minutes. */
    BACKGROUND_WANDER("background-wander", Unit.DECIBEL, false, 0.3, 0.0, 10.0),
    /** Steady drift of the background, in an hour. */
    BACKGROUND_DRIFT("background-drift", Unit.DECIBEL, false, 0.0, -10.0, 10.0),
    /** How often an hour a gust comes by, for 4 to 15 s. */
    GUSTS("gusts", Unit.ONE, false, 3.0, 0.0, 60.0),
    /** By how much a middling gust stands above the background. */
    GUST_LEVEL("gust-level", Unit.DECIBEL, false, 8.0, 0.0, 40.0),
    /** Spread of one-second levels about their mean. */
    LEVEL_FLUCTUATION("level-fluctuation", Unit.DECIBEL, false, 0.3, 0.0, 10.0),

    // What sensors do.
    /** Share of the stated uncertainty from which each sensor's offset is drawn; 0 % for sensors that are right. */
    SENSOR_OFFSETS("sensor-offsets", Unit.PERCENT, false, 100.0, 0.0, 100.0),
    /** Time constant of the coolant probes. */
    PROBE_LAG("probe-lag", Unit.SECOND, false, 5.0, 0.0, 300.0),
    /** Time constant of the ambient probes. */
    AMBIENT_PROBE_LAG("ambient-probe-lag", Unit.SECOND, false, 20.0, 0.0, 300.0),
    /** Spread of a temperature probe's noise. */
    NOISE("noise", Unit.KELVIN, false, 0.02, 0.0, 2.0),
    /** Correlation of a temperature probe's noise from one tick to the next. */
    NOISE_CORRELATION("noise-correlation", Unit.PERCENT, false, 50.0, 0.0, 99.0),
    /** Step of a temperature probe's readings; 0 K for none. */
    RESOLUTION("resolution", Unit.KELVIN, false, 0.01, 0.0, 1.0),
    /** Spread of a tachometer's readings. */
    TACHOMETER_JITTER("tachometer-jitter", Unit.PERCENT, false, 0.1, 0.0, 10.0),
    /** Step of a tachometer's readings; 0 rpm for none. */
    TACHOMETER_RESOLUTION("tachometer-resolution", Unit.RPM, false, 1.0, 0.0, 100.0),

    // A fan set.
    /** Fan speed at full duty. */
    MAX_SPEED("max-speed", Unit.RPM, true, 2000.0, 200.0, 10000.0),
    /** Slowest speed at which the fans run. */
    MIN_SPEED("min-speed", Unit.RPM, true, 300.0, 0.0, 5000.0),
    /** Duty up to which the fans run at their slowest; from there speed rises in a straight line to full duty. */
    MIN_DUTY("min-duty", Unit.PERCENT, true, 15.0, 0.0, 90.0),
    /** Bow of the duty-speed line at its middle, as a share of the highest speed. */
    BOW("bow", Unit.PERCENT, true, 0.0, -25.0, 25.0),
    /** Duty from which a fan at rest starts. */
    START_DUTY("start-duty", Unit.PERCENT, true, 20.0, 0.0, 100.0),
    /** Spread of the start duty from one start to the next. */
    START_SCATTER("start-scatter", Unit.PERCENT, true, 0.0, 0.0, 20.0),
    /** Duty below which a running fan stops. */
    STOP_DUTY("stop-duty", Unit.PERCENT, true, 15.0, 0.0, 100.0),
    /** Threshold below which the fans' electronics stop them; 0 % for none. */
    STOP_BELOW("stop-below", Unit.PERCENT, true, 0.0, 0.0, 100.0),
    /** Speed above which the fans' electronics do not let them go; 0 rpm for none. */
    SPEED_CAP("speed-cap", Unit.RPM, true, 0.0, 0.0, 10000.0),
    /** Play between duty and speed: at one duty, reached from below and from above, the speed differs by that much duty. */
    HYSTERESIS("hysteresis", Unit.PERCENT, true, 0.0, 0.0, 20.0),
    /** Time constant with which a fan gains speed. */
    SPIN_UP("spin-up", Unit.SECOND, true, 1.5, 0.1, 60.0),
    /** Time constant with which a fan loses speed. */
    COAST_DOWN("coast-down", Unit.SECOND, true, 2.5, 0.1, 60.0),
    /** Spread of speed within the set. */
    SPREAD("spread", Unit.PERCENT, true, 0.5, 0.0, 20.0),
    /** By how much the last fan of the set is slower than the others. */
    SLOW_FAN("slow-fan", Unit.PERCENT, true, 0.0, 0.0, 90.0),
    /** Change of speed as the coolant rises by 10 K over the room. */
    SPEED_DRIFT("speed-drift", Unit.PERCENT, true, 0.2, -5.0, 5.0),
    /** What the tachometers' answers are multiplied by: 2 where pulses are counted twice. */
    TACHOMETER_FACTOR("tachometer-factor", Unit.ONE, true, 1.0, 0.25, 4.0),
    /** Air that the whole set moves through the radiator at its highest speed. */
    AIRFLOW("airflow", Unit.LITRE_PER_MINUTE, true, 3000.0, 100.0, 20000.0),
    /** Share of the air that is lost towards standstill; the loss falls in a straight line to none at the highest speed. */
    AIRFLOW_LOSS("airflow-loss", Unit.PERCENT, true, 0.0, 0.0, 90.0),
    /** Own level of the set at 1000 rpm. */
    LEVEL("level", Unit.DECIBEL, true, 18.0, -20.0, 80.0),
    /** Rise of the own level with a tenfold speed. */
    LEVEL_SLOPE("level-slope", Unit.DECIBEL, true, 50.0, 10.0, 90.0),
    /** Curvature of the level line: added, times the square of the decades from 1000 rpm. */
    LEVEL_CURVATURE("level-curvature", Unit.DECIBEL, true, 0.0, -50.0, 50.0),
    /** Speed at which the mount resonates, within about 2 %. */
    RESONANCE_SPEED("resonance-speed", Unit.RPM, true, 1400.0, 100.0, 10000.0),
    /** Level that the resonance adds at its peak. */
    RESONANCE_LEVEL("resonance-level", Unit.DECIBEL, true, 0.0, 0.0, 30.0);

    private final String text;
    private final Unit unit;
    private final boolean ofSet;
    private final double normal;
    private final double least;
    private final double most;

    SimulationKey(String text, Unit unit, boolean ofSet, double normal, double least, double most) {
        this.text = text;
        this.unit = unit;
        this.ofSet = ofSet;
        this.normal = normal;
        this.least = least;
        this.most = most;
    }

    /** {@return its name in the bench file} */
    public String text() {
        return text;
    }

    /** {@return its unit} */
    public Unit unit() {
        return unit;
    }

    /** {@return true if it describes a fan set, false if it describes the bench and the room} */
    public boolean ofSet() {
        return ofSet;
    }

    /** {@return its value where the file does not set it, in its unit} */
    public double normal() {
        return normal;
    }

    /** {@return the least that it may be, in its unit} */
    public double least() {
        return least;
    }

    /** {@return the most that it may be, in its unit} */
    public double most() {
        return most;
    }
}
