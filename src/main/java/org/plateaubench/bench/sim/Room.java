package org.plateaubench.bench.sim;

import org.plateaubench.benchfile.SimulationKey;

/** The room's air and its sound: calm by default; a heating cycle, a door and gusts where they are switched on. */
final class Room {

    private static final double AIR_WANDER_SECONDS = 1800.0;
    private static final double SOUND_WANDER_SECONDS = 1200.0;
    private static final double HEATING_SHARE = 1.0 / 3.0;
    private static final double DOOR_SLOT_SECONDS = 600.0;
    private static final double DOOR_COOLING_SECONDS = 90.0;
    private static final double DOOR_RECOVERY_SECONDS = 600.0;
    private static final double GUST_SLOT_SECONDS = 60.0;

    private final double startCelsius;
    private final double driftKelvinPerSecond;
    private final Wander airWander;

    private final long cycleKey;
    private final double cycleAmplitude;
    private final double cyclePeriodSeconds;
    private final double cycleJitter;
    private long cycle;
    private double cycleStart;
    private double cycleSeconds;

    private final long doorKey;
    private final double doorChance;
    private final double doorStep;
    private double doorKelvin;
    private double shiftKelvin;
    private double shiftedKelvin;

    private final long gustKey;
    private final double gustChance;
    private final double gustDb;
    private final double backgroundDb;
    private final double backgroundDriftPerSecond;
    private final Wander soundWander;

    private double seconds;
    private double celsius;

    Room(Settings settings, long seed) {
        startCelsius = settings.get(SimulationKey.AMBIENT);
        driftKelvinPerSecond = settings.get(SimulationKey.AMBIENT_DRIFT) / 3600.0;
        airWander = new Wander(
                Draw.key(seed, "air wander"), settings.get(SimulationKey.AMBIENT_WANDER), AIR_WANDER_SECONDS);
        cycleKey = Draw.key(seed, "heating cycle");
        cycleAmplitude = settings.get(SimulationKey.HEATING_CYCLE_AMPLITUDE);
        cyclePeriodSeconds = settings.get(SimulationKey.HEATING_CYCLE_PERIOD);
        cycleJitter = settings.fraction(SimulationKey.HEATING_CYCLE_JITTER);
        cycleSeconds = cycleLength(0);
        cycleStart = -cycleSeconds * Draw.uniform(Draw.key(cycleKey, "phase"));
        doorKey = Draw.key(seed, "door");
        doorChance = settings.get(SimulationKey.DOOR_OPENINGS) * DOOR_SLOT_SECONDS / 3600.0;
        doorStep = settings.get(SimulationKey.DOOR_STEP);
        gustKey = Draw.key(seed, "gusts");
        gustChance = settings.get(SimulationKey.GUSTS) * GUST_SLOT_SECONDS / 3600.0;
        gustDb = settings.get(SimulationKey.GUST_LEVEL);
        backgroundDb = settings.get(SimulationKey.BACKGROUND_LEVEL)
                + settings.get(SimulationKey.BACKGROUND_NIGHT) * Draw.normal(Draw.key(seed, "background"));
        backgroundDriftPerSecond = settings.get(SimulationKey.BACKGROUND_DRIFT) / 3600.0;
        soundWander = new Wander(
                Draw.key(seed, "sound wander"), settings.get(SimulationKey.BACKGROUND_WANDER), SOUND_WANDER_SECONDS);
        celsius = startCelsius + airWander.at(0.0) + heatingKelvin(0.0);
    }

    /**
     * Moves on.
     *
     * @param toSeconds to this time since the night began
     */
    void advance(double toSeconds) {
        if (doorChance > 0.0) {
            boolean open = doorOpen(toSeconds);
            double target = open ? -doorStep : 0.0;
            double tau = open ? DOOR_COOLING_SECONDS : DOOR_RECOVERY_SECONDS;
            doorKelvin += (target - doorKelvin) * (toSeconds - seconds) / tau;
        }
        shiftedKelvin += (shiftKelvin - shiftedKelvin) * Math.min(1.0, (toSeconds - seconds) / DOOR_COOLING_SECONDS);
        seconds = toSeconds;
        celsius = startCelsius
                + driftKelvinPerSecond * seconds
                + airWander.at(seconds)
                + heatingKelvin(seconds)
                + doorKelvin
                + shiftedKelvin;
    }

    /**
     * Lets the air move away, by and by.
     *
     * @param kelvin by how much in the end, K; 0 to let it come back
     */
    void shift(double kelvin) {
        shiftKelvin = kelvin;
    }

    /** {@return temperature of the air that the ambient probe and the radiator meet, °C} */
    double celsius() {
        return celsius;
    }

    /** {@return sound level of room and bench with the fans stopped, dB(A)} */
    double backgroundDb() {
        return backgroundDb + backgroundDriftPerSecond * seconds + soundWander.at(seconds) + gustDb(seconds);
    }

    private double heatingKelvin(double at) {
        if (cycleAmplitude == 0.0) {
            return 0.0;
        }
        while (at >= cycleStart + cycleSeconds) {
            cycleStart += cycleSeconds;
            cycle++;
            cycleSeconds = cycleLength(cycle);
        }
        double phase = (at - cycleStart) / cycleSeconds;
        double rising = phase < HEATING_SHARE ? phase / HEATING_SHARE : (1.0 - phase) / (1.0 - HEATING_SHARE);
        return cycleAmplitude * (2.0 * rising - 1.0);
    }

    private double cycleLength(long index) {
        double factor = 1.0 + cycleJitter * Draw.normal(Draw.key(cycleKey, index));
        return cyclePeriodSeconds * Math.max(0.3, factor);
    }

    private boolean doorOpen(double at) {
        long slot = (long) (at / DOOR_SLOT_SECONDS);
        long key = Draw.key(doorKey, slot);
        if (Draw.uniform(key) >= doorChance) {
            return false;
        }
        double openSeconds = 60.0 + 120.0 * Draw.uniform(Draw.key(key, 1));
        double start = slot * DOOR_SLOT_SECONDS + (DOOR_SLOT_SECONDS - openSeconds) * Draw.uniform(Draw.key(key, 2));
        return at >= start && at < start + openSeconds;
    }

    private double gustDb(double at) {
        long slot = (long) (at / GUST_SLOT_SECONDS);
        long key = Draw.key(gustKey, slot);
        if (Draw.uniform(key) >= gustChance) {
            return 0.0;
        }
        double lasts = 4.0 + 11.0 * Draw.uniform(Draw.key(key, 1));
        double start = slot * GUST_SLOT_SECONDS + (GUST_SLOT_SECONDS - lasts) * Draw.uniform(Draw.key(key, 2));
        boolean blowing = at >= start && at < start + lasts;
        return blowing ? gustDb * (0.5 + Draw.uniform(Draw.key(key, 3))) : 0.0;
    }
}
