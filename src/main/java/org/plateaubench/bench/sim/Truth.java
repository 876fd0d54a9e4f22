package org.plateaubench.bench.sim;

import org.plateaubench.benchfile.SimulationKey;

/**
 * The physical state of a simulated bench, apart from anything that sensors or lines report: source, cold plate,
 * coolant, radiator, chassis, fans, pump, room. It moves on in fixed steps of {@value #STEP_MILLIS} ms, so its course
 * does not depend on how often it is looked at.
 *
 * <pre>
 *   source --- cold plate --- coolant --- radiator --- air of the room
 *                                |
 *                             chassis  (the slow mode: takes heat, gives it back, loses none)
 * </pre>
 *
 * <p>Not safe for several threads; {@link World} guards it.
 */
public final class Truth {

    /** Length of a step, ms. */
    public static final int STEP_MILLIS = 250;

    private static final double STEP_SECONDS = STEP_MILLIS / 1000.0;

    // Heat capacities, J/K: a processor's lid; a copper cold plate; 1.3 L of coolant with radiator, tubes and fittings.
    private static final double SOURCE_CAPACITY = 30.0;
    private static final double PLATE_CAPACITY = 250.0;
    private static final double COOLANT_CAPACITY = 6700.0;

    private static final double SOURCE_TO_PLATE_CONDUCTANCE = 1.0 / 0.110;
    private static final double PLATE_TO_COOLANT_CONDUCTANCE = 1.0 / 0.035;
    private static final double PLATE_FLOW_EXPONENT = 0.3;
    /** What tubes and a still radiator lose to the room, W/K. */
    private static final double NATURAL_CONDUCTANCE = 0.5;

    private static final double PUMP_MAX_RPM = 3000.0;
    private static final double PUMP_MIN_RPM = 800.0;
    private static final double PUMP_STOP_DUTY = 5.0;
    private static final double PUMP_SECONDS = 0.8;
    /** Speed for which pump heat and flow are stated, rpm. */
    private static final double PUMP_REFERENCE_RPM = 2700.0;

    private static final double REFERENCE_FLOW_LITRES_PER_MINUTE = 4.0;
    /** Below this the coolant no longer carries the heat on. */
    private static final double LEAST_FLOW_LITRES_PER_MINUTE = 0.5;

    // Water at 25 °C (IAPWS tables): density, kg/L, times specific heat, J/(kg K), over the seconds of a minute.
    private static final double COOLANT_CAPACITY_FLOW_PER_LITRE_PER_MINUTE = 0.99705 * 4181.6 / 60.0;

    private static final double REFERENCE_AIRFLOW_LITRES_PER_MINUTE = 3000.0 * 1100.0 / 2000.0;
    private static final double REFERENCE_WATTS = 200.0;
    private static final double REFERENCE_CELSIUS = 22.0;
    private static final double REFERENCE_HECTOPASCAL = 1013.25;

    private static final double CLOCK_MEGAHERTZ = 4300.0;
    private static final double IDLE_CLOCK_MEGAHERTZ = 1200.0;
    private static final double THROTTLE_CELSIUS = 100.0;
    private static final double THROTTLE_SPAN_KELVIN = 10.0;
    private static final double LEAST_THROTTLED_SHARE = 0.02;

    /** A conductance is calculated anew when the air flow has changed by more than this share. */
    private static final double FLOW_TOLERANCE = 1e-7;

    private final Room room;
    private final FanModel fanModel;
    private final Fan[] fans;
    private final double speedDriftPerKelvin;
    private final double hectopascal;
    private final double pumpHeatWatts;
    private final double recirculation;
    private final double resistanceFactor;
    private final double chassisConductance;
    private final double chassisCapacity;
    private final double coolantProbeGain;
    private final double ambientProbeGain;
    private final double pumpGain;
    private final double idleWatts;

    private long steps;
    private double fanDuty = 100.0;
    private double pumpDuty = 100.0;
    private double workloadWatts;
    private double supplyWatts;
    private boolean pumpBlocked;
    private boolean leaking;
    private double clockShare = 1.0;

    private double pumpRpm;
    private double source;
    private double plate;
    private double coolant;
    private double chassis;
    private double coolantProbe;
    private double ambientProbe;
    private long throttled;

    private double sourceWatts;
    private double pumpWatts;
    private double airWatts;

    private double knownCapacityFlow = Double.NaN;
    private double knownConductance;
    private double knownFlow = Double.NaN;
    private double knownPlateConductance;

    /**
     * A bench that has stood idle since long, with fans and pump at full duty, as after power-on.
     *
     * @param settings the numbers of bench, room and fan set
     * @param fanCount how many fans the set has; at least 1
     * @param set key of what belongs to this specimen of the fan set
     * @param mount key of what belongs to this mount
     * @param night key of what belongs to this night
     */
    Truth(Settings settings, int fanCount, long set, long mount, long night) {
        room = new Room(settings, night);
        fanModel = new FanModel(settings);
        fans = new Fan[fanCount];
        for (int i = 0; i < fanCount; i++) {
            double factor = 1.0 + settings.fraction(SimulationKey.SPREAD) * Draw.normal(Draw.key(set, i));
            if (i == fanCount - 1) {
                factor *= 1.0 - settings.fraction(SimulationKey.SLOW_FAN);
            }
            fans[i] = new Fan(fanModel, settings, factor, Draw.key(Draw.key(night, "fan"), i), STEP_SECONDS);
            fans[i].settle(fanDuty);
        }
        speedDriftPerKelvin = settings.fraction(SimulationKey.SPEED_DRIFT) / 10.0;
        hectopascal = settings.get(SimulationKey.AIR_PRESSURE);
        pumpHeatWatts = settings.get(SimulationKey.PUMP_HEAT);
        recirculation = settings.fraction(SimulationKey.RECIRCULATION);
        idleWatts = settings.get(SimulationKey.IDLE_POWER);
        pumpGain = 1.0 - StrictMath.exp(-STEP_SECONDS / PUMP_SECONDS);
        coolantProbeGain = probeGain(settings.get(SimulationKey.PROBE_LAG));
        ambientProbeGain = probeGain(settings.get(SimulationKey.AMBIENT_PROBE_LAG));

        double capacityFlow =
                Radiator.airCapacityFlow(REFERENCE_AIRFLOW_LITRES_PER_MINUTE, REFERENCE_CELSIUS, REFERENCE_HECTOPASCAL);
        double reference = NATURAL_CONDUCTANCE
                + capacityFlow
                        * Radiator.effectiveness(
                                Radiator.surfaceConductance(REFERENCE_AIRFLOW_LITRES_PER_MINUTE) / capacityFlow);
        double referenceRise = (REFERENCE_WATTS + pumpHeatWatts) / reference;
        resistanceFactor = 1.0
                + (settings.get(SimulationKey.NIGHT_EFFECT) * Draw.normal(Draw.key(night, "night effect"))
                                + settings.get(SimulationKey.MOUNT_EFFECT) * Draw.normal(Draw.key(mount, "effect")))
                        / referenceRise;

        // A capacity that hangs on the coolant makes a second mode. Its conductance and capacity follow from the mode's
        // time constant and share: the transfer function from heat to coolant is (1 + s z)/((1 + s f)(1 + s t)) with
        // z = capacity/conductance of the chassis, and the share of the slow mode t in a step is (t - z)/(t - f).
        double share = settings.fraction(SimulationKey.SLOW_MODE_SHARE);
        double slow = settings.get(SimulationKey.SLOW_MODE_TIME_CONSTANT);
        double alone = COOLANT_CAPACITY / reference;
        double zero = slow * (1.0 - share) / (1.0 - share * alone / slow);
        double fast = alone * zero / slow;
        chassisCapacity = share > 0.0 ? reference * (fast + slow - alone - zero) : 1.0;
        chassisConductance = share > 0.0 ? chassisCapacity / zero : 0.0;

        pumpRpm = pumpTarget();
        ambientProbe = room.celsius();
        coolant = room.celsius() + steadyRiseKelvin(meanFanRpm(), idleWatts, room.celsius(), pumpRpm);
        coolantProbe = coolant;
        chassis = coolant;
        plate = coolant + idleWatts / plateConductance();
        source = plate + idleWatts / SOURCE_TO_PLATE_CONDUCTANCE;
    }

    private static double probeGain(double lagSeconds) {
        return lagSeconds <= 0.0 ? 1.0 : 1.0 - StrictMath.exp(-STEP_SECONDS / lagSeconds);
    }

    /**
     * Moves on by whole steps, as far as they reach.
     *
     * @param offsetMillis time since the night began, ms; an earlier one than before changes nothing
     */
    void advanceTo(long offsetMillis) {
        while ((steps + 1) * STEP_MILLIS <= offsetMillis) {
            steps++;
            step();
        }
    }

    private void step() {
        room.advance(steps * STEP_SECONDS);
        double air = room.celsius();
        double drift = 1.0 + speedDriftPerKelvin * (coolant - air);
        for (Fan fan : fans) {
            fan.step(fanDuty, drift);
        }
        pumpRpm += (pumpTarget() - pumpRpm) * pumpGain;

        sourceWatts = deliveredWatts();
        pumpWatts = pumpHeatWatts * cube(pumpRpm / PUMP_REFERENCE_RPM);
        double intoPlate = (source - plate) * SOURCE_TO_PLATE_CONDUCTANCE;
        double intoCoolant = (plate - coolant) * plateConductance();
        double intoChassis = (coolant - chassis) * chassisConductance;
        airWatts = (coolant - air)
                * (NATURAL_CONDUCTANCE + radiatorConductance(airflowLitresPerMinute(), air) * carried());

        source += STEP_SECONDS * (sourceWatts - intoPlate) / SOURCE_CAPACITY;
        plate += STEP_SECONDS * (intoPlate - intoCoolant) / PLATE_CAPACITY;
        coolant += STEP_SECONDS * (intoCoolant + pumpWatts - intoChassis - airWatts) / COOLANT_CAPACITY;
        chassis += STEP_SECONDS * intoChassis / chassisCapacity;
        coolantProbe += (coolant - coolantProbe) * coolantProbeGain;
        ambientProbe += (air - ambientProbe) * ambientProbeGain;
    }

    private double deliveredWatts() {
        if (supplyWatts > 0.0) {
            return supplyWatts;
        }
        if (source > THROTTLE_CELSIUS || clockShare < 1.0) {
            throttled++;
        }
        return Math.max(idleWatts, workloadWatts) * throttleShare();
    }

    private double throttleShare() {
        double over = (source - THROTTLE_CELSIUS) / THROTTLE_SPAN_KELVIN;
        return clockShare * Math.min(1.0, Math.max(LEAST_THROTTLED_SHARE, 1.0 - over));
    }

    private double pumpTarget() {
        return pumpBlocked || pumpDuty < PUMP_STOP_DUTY
                ? 0.0
                : PUMP_MIN_RPM + (PUMP_MAX_RPM - PUMP_MIN_RPM) * pumpDuty / 100.0;
    }

    private double plateConductance() {
        double flow = flowLitresPerMinute();
        if (flow != knownFlow) {
            double moving = Math.max(LEAST_FLOW_LITRES_PER_MINUTE, flow) / REFERENCE_FLOW_LITRES_PER_MINUTE;
            knownFlow = flow;
            knownPlateConductance =
                    PLATE_TO_COOLANT_CONDUCTANCE * StrictMath.pow(moving, PLATE_FLOW_EXPONENT) * carried();
        }
        return knownPlateConductance;
    }

    /** Share of the heat that the coolant's flow can carry: all of it unless the pump hardly turns. */
    private double carried() {
        return Math.min(1.0, flowLitresPerMinute() / LEAST_FLOW_LITRES_PER_MINUTE);
    }

    private double airflowLitresPerMinute() {
        double flow = 0.0;
        for (Fan fan : fans) {
            flow += fanModel.airflowLitresPerMinute(fan.rpm());
        }
        return flow / fans.length;
    }

    /** Heat flow to the air over coolant less room, for the radiator with its recirculation, night and mount. */
    private double radiatorConductance(double airflowLitresPerMinute, double airCelsius) {
        double capacityFlow = Radiator.airCapacityFlow(airflowLitresPerMinute, airCelsius, hectopascal);
        if (Math.abs(capacityFlow - knownCapacityFlow) <= FLOW_TOLERANCE * capacityFlow) {
            return knownConductance;
        }
        knownCapacityFlow = capacityFlow;
        knownConductance = conductance(airflowLitresPerMinute, capacityFlow);
        return knownConductance;
    }

    private double conductance(double airflowLitresPerMinute, double capacityFlow) {
        if (capacityFlow <= 0.0) {
            return 0.0;
        }
        double effectiveness =
                Radiator.effectiveness(Radiator.surfaceConductance(airflowLitresPerMinute) / capacityFlow)
                        / resistanceFactor;
        // Intake air is room air warmed by r/(1-r) of the heat over the capacity flow.
        double intakeShare = 1.0 + recirculation / (1.0 - recirculation) * effectiveness;
        return effectiveness * capacityFlow / intakeShare;
    }

    private static double cube(double x) {
        return x * x * x;
    }

    // What the bench's own controls, loads and faults change.

    void setFanDuty(double percent) {
        fanDuty = percent;
    }

    void powerFans(boolean on) {
        for (Fan fan : fans) {
            fan.power(on);
        }
    }

    void setPumpDuty(double percent) {
        pumpDuty = percent;
    }

    void setWorkload(double watts) {
        workloadWatts = watts;
    }

    void setSupply(double watts) {
        supplyWatts = watts;
    }

    void blockPump(boolean blocked) {
        pumpBlocked = blocked;
    }

    void stallFan(int fan, boolean stalled) {
        fans[fan].stall(stalled);
    }

    void leak(boolean leaks) {
        leaking = leaks;
    }

    void throttle(double share) {
        clockShare = share;
    }

    void shiftRoom(double kelvin) {
        room.shift(kelvin);
    }

    // What is so.

    /** {@return how far the truth has come, ms since the night began} */
    public long millis() {
        return steps * STEP_MILLIS;
    }

    /** {@return duty of the fans, per cent} */
    public double fanDutyPercent() {
        return fanDuty;
    }

    /** {@return duty of the pump, per cent} */
    public double pumpDutyPercent() {
        return pumpDuty;
    }

    /**
     * {@return speed of a fan, rpm}
     *
     * @param fan which, from 0
     */
    public double fanRpm(int fan) {
        return fans[fan].rpm();
    }

    /** {@return mean speed of the fans, rpm} */
    public double meanFanRpm() {
        double sum = 0.0;
        for (Fan fan : fans) {
            sum += fan.rpm();
        }
        return sum / fans.length;
    }

    /** {@return speed of the pump, rpm} */
    public double pumpRpm() {
        return pumpRpm;
    }

    /** {@return flow of the coolant, L/min} */
    public double flowLitresPerMinute() {
        return REFERENCE_FLOW_LITRES_PER_MINUTE * pumpRpm / PUMP_REFERENCE_RPM;
    }

    /** {@return temperature of the room's air at the intake, °C} */
    public double ambientCelsius() {
        return room.celsius();
    }

    /** {@return mean temperature of the coolant, °C} */
    public double coolantCelsius() {
        return coolant;
    }

    /** {@return rise of the coolant over the room's air, K} */
    public double riseKelvin() {
        return coolant - room.celsius();
    }

    /** {@return temperature of the source, °C} */
    public double sourceCelsius() {
        return source;
    }

    /** {@return temperature of the ambient probe's own body, °C} */
    public double ambientProbeCelsius() {
        return ambientProbe;
    }

    /** {@return temperature of the coolant probe's own body, °C} */
    public double coolantProbeCelsius() {
        return coolantProbe;
    }

    /** {@return by how much the coolant is warmer behind the cold plate than before it, K; 0 if it stands still} */
    public double coolantGainKelvin() {
        double capacityFlow = flowLitresPerMinute() * COOLANT_CAPACITY_FLOW_PER_LITRE_PER_MINUTE;
        return carried() < 1.0 ? 0.0 : (plate - coolant) * plateConductance() / capacityFlow;
    }

    /** {@return heat flow that the source gave in the last step, W} */
    public double sourceWatts() {
        return sourceWatts;
    }

    /** {@return heat flow that the pump gave in the last step, W} */
    public double pumpWatts() {
        return pumpWatts;
    }

    /** {@return heat flow that went to the room's air in the last step, W} */
    public double airWatts() {
        return airWatts;
    }

    /** {@return heat stored in all bodies, J, above 0 °C} */
    public double storedJoule() {
        return SOURCE_CAPACITY * source
                + PLATE_CAPACITY * plate
                + COOLANT_CAPACITY * coolant
                + chassisCapacity * chassis;
    }

    /** {@return true if heat is asked of the workload or the supply} */
    public boolean heated() {
        return workloadWatts > 0.0 || supplyWatts > 0.0;
    }

    /** {@return clock of the processor, MHz} */
    public double clockMegahertz() {
        return (heated() ? CLOCK_MEGAHERTZ : IDLE_CLOCK_MEGAHERTZ) * throttleShare();
    }

    /** {@return how often the processor throttled so far} */
    public long throttleCount() {
        return throttled;
    }

    /** {@return air pressure, hPa} */
    public double pressureHectopascal() {
        return hectopascal;
    }

    /** {@return true while coolant leaks} */
    public boolean leaking() {
        return leaking;
    }

    /** {@return sound level with the fans stopped, dB(A)} */
    public double backgroundDb() {
        return room.backgroundDb();
    }

    /** {@return the fans' own level, dB(A); negative infinity at rest} */
    public double fansDb() {
        double energy = 0.0;
        for (Fan fan : fans) {
            energy += StrictMath.pow(10.0, fanModel.levelDb(fan.rpm()) / 10.0);
        }
        return 10.0 * StrictMath.log10(energy / fans.length);
    }

    /**
     * {@return the own level of the set with all fans at one speed, dB(A)}
     *
     * @param rpm speed, rpm
     */
    public double ownLevelDb(double rpm) {
        return fanModel.levelDb(rpm);
    }

    /**
     * The rise that the coolant has in the end, of this fan set, this mount and this night. Calculated from the heat
     * balance, not by moving on in time; the slow mode has died out.
     *
     * @param meanFanRpm mean speed of the fans, rpm
     * @param watts heat flow of the source, W
     * @param ambientCelsius temperature of the room's air, °C
     * @param pumpRpm speed of the pump, rpm
     * @return rise over the room's air, K
     */
    public double steadyRiseKelvin(double meanFanRpm, double watts, double ambientCelsius, double pumpRpm) {
        double factors = 0.0;
        for (Fan fan : fans) {
            factors += fan.factor();
        }
        double airflow = 0.0;
        for (Fan fan : fans) {
            airflow += fanModel.airflowLitresPerMinute(meanFanRpm * fan.factor() / factors * fans.length);
        }
        airflow /= fans.length;
        double capacityFlow = Radiator.airCapacityFlow(airflow, ambientCelsius, hectopascal);
        return (watts + pumpHeatWatts * cube(pumpRpm / PUMP_REFERENCE_RPM))
                / (NATURAL_CONDUCTANCE + conductance(airflow, capacityFlow));
    }

    /**
     * The rise that the coolant has in the end with the pump at 2700 rpm and the room at 22 °C.
     *
     * @param meanFanRpm mean speed of the fans, rpm
     * @param watts heat flow of the source, W
     * @return rise over the room's air, K
     */
    public double steadyRiseKelvin(double meanFanRpm, double watts) {
        return steadyRiseKelvin(meanFanRpm, watts, REFERENCE_CELSIUS, PUMP_REFERENCE_RPM);
    }
}
