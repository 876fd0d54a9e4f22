package org.plateaubench.bench.sim;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.clock.Clock;

/**
 * Everything simulated of one bench under one lock: the truth, its sensors, the outputs of its controllers, its
 * workload, and the faults, brought to the clock's time whenever somebody asks.
 */
final class World {

    private static final long NEVER = Long.MAX_VALUE;

    private final BenchFile file;
    private final Clock clock;
    private final Truth truth;
    private final Sensors sensors;
    private final Faults faults;
    private final long powerKey;
    private final double powerSpread;

    private final Map<String, Double> duties = new TreeMap<>();
    private final List<Cutoff> cutoffs = new ArrayList<>();
    private final Map<String, Double> lastValues = new HashMap<>();
    private final Set<String> hungUp = new TreeSet<>();
    private final Map<String, Long> boots = new TreeMap<>();
    private final Workload workload = new Workload();

    private double supplyWatts;
    /** True while a relay holds the supply's heat back because the supply heard nothing. Its setting stays. */
    private boolean relayOpen;

    private long atMillis;
    private long tick;

    /**
     * A bench at power-on, at the clock's present time.
     *
     * @param file the bench file, with its simulation part
     * @param fanSet the fan set that is mounted
     * @param mount number of its mount
     * @param seed decides the night
     * @param clock the bench's time
     * @param faults what goes wrong
     * @throws IllegalArgumentException if the file is of no simulated bench, or does not know the fan set
     */
    World(BenchFile file, String fanSet, int mount, long seed, Clock clock, Faults faults) {
        var spec = file.simulation()
                .orElseThrow(() -> new IllegalArgumentException("bench " + file.name() + " is not a simulated one"));
        Settings settings = new Settings(spec, fanSet);
        // Sensors and fans are the same on every night of a bench; the room, the noise and the night's effect are not,
        // and two fan sets are never measured in the same night.
        long bench = Draw.key(spec.seed(), "bench");
        long set = Draw.key(Draw.key(spec.seed(), "set"), fanSet);
        long night = Draw.key(Draw.key(seed, "night"), fanSet);
        this.file = file;
        this.clock = clock;
        this.faults = faults;
        this.truth = new Truth(
                settings,
                Math.max(1, file.group(BenchFile.FANS).size()),
                set,
                Draw.key(Draw.key(set, "mount"), mount),
                night);
        this.sensors = new Sensors(file, settings, truth, bench, night);
        this.powerKey = Draw.key(night, "power");
        this.powerSpread = settings.fraction(SimulationKey.POWER_SPREAD);
        file.actuators().forEach(a -> duties.put(a.name(), 100.0));
        for (DeviceSpec device : file.devices()) {
            if (device instanceof DeviceSpec.Serial serial
                    && serial.silenceCutoffSeconds().isPresent()) {
                cutoffs.add(new Cutoff(
                        serial.name(), serial.silenceCutoffSeconds().getAsDouble(), () -> fullSpeed(serial.name())));
            }
        }
        file.supply()
                .ifPresent(supply -> supply.cutoff()
                        .ifPresent(cutoff -> cutoffs.add(
                                new Cutoff(supply.device(), cutoff.silenceSeconds(), () -> cutOff(cutoff)))));
        atMillis = nowMillis();
        truth.advanceTo(atMillis);
        happen();
    }

    /** Something that acts by itself when a device was asked nothing for a while. */
    private static final class Cutoff {
        final String device;
        final long silenceMillis;
        final Runnable action;
        long actsAtMillis = NEVER;

        Cutoff(String device, double silenceSeconds, Runnable action) {
            this.device = device;
            this.silenceMillis = StrictMath.round(silenceSeconds * 1000.0);
            this.action = action;
        }
    }

    /** The simulated computer's workload. */
    private static final class Workload {
        double nominalWatts;
        long runMillis;
        long run;
        long endsAtMillis = NEVER;
        List<LoadEvent> events = new ArrayList<>();
    }

    private void cutOff(SupplySpec.Cutoff cutoff) {
        if (cutoff.by().equals("relay")) {
            relayOpen = true;
        } else {
            supplyWatts = 0.0;
        }
    }

    private long nowMillis() {
        return clock.nanos() / 1_000_000;
    }

    /** {@return what is so; look at it only while nothing else uses the bench} */
    Truth truth() {
        return truth;
    }

    /** {@return what goes wrong} */
    Faults faults() {
        return faults;
    }

    /**
     * Moves on to the clock's time, for a tick.
     *
     * @param number number of the tick
     */
    synchronized void tick(long number) {
        tick = number;
        advance();
    }

    /** Moves on to the clock's time, and nobody looks. */
    synchronized void letTimePass() {
        advance();
    }

    /** Moves on to the clock's time, as ticks of one second: for a bench that nobody else ticks. */
    synchronized void tickBySecond() {
        tick(nowMillis() / 1000);
    }

    private void advance() {
        long now = nowMillis();
        for (long next = nextEventMillis(); next <= now; next = nextEventMillis()) {
            truth.advanceTo(next);
            atMillis = next;
            happen();
        }
        truth.advanceTo(now);
        atMillis = Math.max(atMillis, now);
    }

    private long nextEventMillis() {
        long next = Math.min(faults.nextChangeAfter(atMillis), workload.endsAtMillis);
        for (Cutoff cutoff : cutoffs) {
            next = Math.min(next, cutoff.actsAtMillis);
        }
        return next;
    }

    /** What happens of itself at the present moment. */
    private void happen() {
        for (Cutoff cutoff : cutoffs) {
            if (cutoff.actsAtMillis <= atMillis) {
                cutoff.actsAtMillis = NEVER;
                cutoff.action.run();
            }
        }
        for (Fault fault : faults.beginningAt(atMillis)) {
            if (fault.kind() == Kind.RESET_OUTPUTS) {
                fullSpeed(fault.target());
                boots.merge(fault.target(), 1L, Long::sum);
            } else if (fault.kind() == Kind.HANG_UP || fault.kind() == Kind.RENAMED) {
                hungUp.add(fault.target());
            } else if (fault.kind() == Kind.WORKLOAD_FAILS && workload.endsAtMillis != NEVER) {
                endWorkload();
                workload.events.add(new LoadEvent(LoadEvent.Kind.FAILED, "exit status 1"));
            }
        }
        if (workload.endsAtMillis <= atMillis) {
            workload.events.add(new LoadEvent(LoadEvent.Kind.COMPLETED, "run " + workload.run));
            nextRun();
        }
        truth.blockPump(faults.any(Kind.PUMP_STOP, atMillis));
        truth.leak(faults.any(Kind.LEAK, atMillis));
        truth.throttle(measure(Kind.THROTTLED, 100.0) / 100.0);
        truth.shiftRoom(measure(Kind.ROOM_STEP, 0.0));
        List<String> fans = file.group(BenchFile.FANS);
        for (int i = 0; i < fans.size(); i++) {
            truth.stallFan(i, faults.any(Kind.FAN_STALL, fans.get(i), atMillis));
        }
        output();
    }

    private double measure(Kind kind, double otherwise) {
        return faults.active(kind, "", atMillis).map(Fault::value).orElse(otherwise);
    }

    /** The outputs of power-on: full duty, no heat. */
    private void fullSpeed(String device) {
        file.actuators().stream().filter(a -> a.device().equals(device)).forEach(a -> duties.put(a.name(), 100.0));
        if (file.supply().isPresent() && file.supply().get().device().equals(device)) {
            supplyWatts = 0.0;
        }
        output();
    }

    /** Gives the outputs to the truth: apart from duties that are ignored, and heat that is stuck. */
    private void output() {
        if (!faults.any(Kind.IGNORES_DUTY, BenchFile.FAN_DUTY, atMillis)) {
            truth.setFanDuty(duties.getOrDefault(BenchFile.FAN_DUTY, 100.0));
        }
        truth.powerFans(duties.getOrDefault(BenchFile.FAN_SWITCH, 100.0) > 0.0);
        if (!faults.any(Kind.IGNORES_DUTY, BenchFile.PUMP_DUTY, atMillis)) {
            truth.setPumpDuty(duties.getOrDefault(BenchFile.PUMP_DUTY, 100.0));
        }
        boolean stuck = faults.any(Kind.HEAT_STAYS, atMillis);
        boolean tripped = faults.any(Kind.HEAT_TRIPPED, atMillis);
        if (!stuck || supplyWatts > 0.0) {
            truth.setSupply(tripped || relayOpen ? 0.0 : supplyWatts);
        }
        if (!stuck || workload.endsAtMillis != NEVER) {
            truth.setWorkload(tripped ? 0.0 : workloadWatts());
        }
    }

    private double workloadWatts() {
        return workload.endsAtMillis == NEVER
                ? 0.0
                : workload.nominalWatts * (1.0 + powerSpread * Draw.normal(Draw.key(powerKey, workload.run)));
    }

    /**
     * A device was asked something: brings the bench to the present, and the device's silence begins anew.
     *
     * @param device its name
     */
    synchronized void heard(String device) {
        advance();
        if (relayOpen && file.supply().orElseThrow().device().equals(device)) {
            relayOpen = false;
            output();
        }
        for (Cutoff cutoff : cutoffs) {
            if (cutoff.device.equals(device)) {
                // Acts after the silence, not at its last moment.
                cutoff.actsAtMillis = atMillis + cutoff.silenceMillis + 1;
            }
        }
    }

    /** {@return true if a device's line hung up since the last call} */
    synchronized boolean takeHangUp(String device) {
        return hungUp.remove(device);
    }

    /** {@return a whole number from 0 to below the bound, which depends on seed and time} */
    synchronized int draw(int bound) {
        return (int) (bound * Draw.uniform(Draw.key(Draw.key(powerKey, "characters"), atMillis)));
    }

    /** {@return true if a fault is under way now} */
    synchronized boolean suffers(Kind kind, String target) {
        advance();
        return faults.any(kind, target, atMillis);
    }

    /**
     * Reads a channel, with the faults of its sensor that change numbers.
     *
     * @param channel which
     * @return what the device says: the channel's unit, or Hz where it counts pulses; NaN if it says that it has none
     */
    synchronized double value(ChannelSpec channel) {
        String name = channel.name();
        double value = sensors.read(channel, tick);
        if (faults.any(Kind.FROZEN, name, atMillis) && lastValues.containsKey(name)) {
            return lastValues.get(name);
        }
        value += faults.active(Kind.OFFSET, name, atMillis).map(Fault::value).orElse(0.0);
        value += faults.active(Kind.DRIFT, name, atMillis)
                .map(f -> f.value() * (atMillis - f.fromMillis()) / 3_600_000.0)
                .orElse(0.0);
        value *= faults.active(Kind.FACTOR, name, atMillis).map(Fault::value).orElse(1.0);
        if (faults.any(Kind.POWER_ON_VALUE, name, atMillis)) {
            value = 85.0;
        }
        if (faults.any(Kind.LOST_PROBE, name, atMillis)) {
            value = -127.0;
        }
        if (faults.any(Kind.NO_NUMBER, name, atMillis)) {
            value = Double.NaN;
        }
        lastValues.put(name, value);
        return value;
    }

    /** {@return the duty that an actuator is set to, per cent} */
    synchronized double duty(String actuator) {
        return duties.get(actuator);
    }

    synchronized void setDuty(String actuator, double percent) {
        duties.put(actuator, percent);
        output();
    }

    /** Brings a device's outputs to those of power-on. */
    synchronized void reset(String device) {
        fullSpeed(device);
    }

    /** {@return how often a device was started} */
    synchronized long boots(String device) {
        return 1 + boots.getOrDefault(device, 0L);
    }

    /** {@return the power that the supply is set to, W} */
    synchronized double supplyWatts() {
        return supplyWatts;
    }

    synchronized void setSupply(double watts) {
        advance();
        if (!faults.any(Kind.IGNORES_POWER, atMillis)) {
            supplyWatts = watts;
            output();
        }
    }

    /** Starts a workload, and each of its runs again when it ends. */
    synchronized void startWorkload(double watts, double runSeconds) {
        advance();
        workload.nominalWatts = watts;
        workload.runMillis = StrictMath.round(runSeconds * 1000.0);
        nextRun();
        output();
    }

    private void nextRun() {
        workload.run++;
        workload.endsAtMillis = atMillis + workload.runMillis;
        workload.events.add(new LoadEvent(LoadEvent.Kind.STARTED, "run " + workload.run));
    }

    /** Ends the workload, if there is one. */
    synchronized void stopWorkload() {
        advance();
        endWorkload();
    }

    private void endWorkload() {
        workload.endsAtMillis = NEVER;
        output();
    }

    /** {@return what the workload did since the last call} */
    synchronized List<LoadEvent> takeLoadEvents() {
        advance();
        List<LoadEvent> taken = workload.events;
        workload.events = new ArrayList<>();
        return taken;
    }
}
