package org.plateaubench.bench.check;

import static org.plateaubench.bench.check.Check.fix;
import static org.plateaubench.bench.check.Check.note;
import static org.plateaubench.bench.check.Check.ok;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.Consumer;
import java.util.stream.Collectors;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep.DeviceEvent;
import org.plateaubench.bench.check.CutoffCheck.Cutoff;
import org.plateaubench.bench.check.CutoffCheck.NotSeen;
import org.plateaubench.bench.check.Ticks.LimitReached;
import org.plateaubench.bench.load.Loads;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.benchfile.WorkloadSpec;
import org.plateaubench.clock.Clock;
import org.plateaubench.units.Decimals;

/**
 * Tries a bench before its first night: who answers, each channel at rest, how long a tick takes, each actuator moved a
 * little, each cut-off by falling silent, the safe state. Heat is a few watts of the supply and no more. Whatever happens,
 * the bench is safe at the end.
 */
public final class BenchCheck {

    private static final int TICKS_TO_SPIN_UP = 10;
    private static final int TICKS_AT_REST = 10;
    private static final double LONGEST_TICK_MILLIS = 1000.0;
    private static final double LITTLE_WATTS = 20.0;
    private static final double OFF_SHARE = 0.5;
    private static final double NEARLY_SAFE_PERCENT = 1.0;
    private static final double FULL_SPEED = 0.95;
    private static final double RISING = 0.1;
    private static final int TICKS_TO_FULL_SPEED = 20;

    private final Bench bench;
    private final BenchFile file;
    private final Clock clock;
    private final Consumer<String> progress;
    private final List<Check> checks = new ArrayList<>();
    private boolean simulated;
    private int eventsBeforeCutoffs = Integer.MAX_VALUE;

    /**
     * A check that has not begun.
     *
     * @param bench the bench, not yet open; the caller closes it afterwards
     * @param clock its time
     * @param progress told what is done, one line each, since some of it takes a while
     */
    public BenchCheck(Bench bench, Clock clock, Consumer<String> progress) {
        this.bench = bench;
        this.file = bench.file();
        this.clock = clock;
        this.progress = progress;
        this.simulated = file.simulation().isPresent();
    }

    /** {@return true if the bench is a simulated one, or turned out to be one when it was opened} */
    public boolean simulated() {
        return simulated;
    }

    /**
     * Checks everything.
     *
     * @return what was checked, in order; if a device cannot be opened, that only
     */
    public List<Check> run() {
        try {
            progress.accept("opening every device");
            List<DeviceIdentity> devices = bench.open();
            simulated |= devices.stream().anyMatch(DeviceIdentity::simulated);
            devices.forEach(this::identity);
        } catch (BenchException e) {
            e.getMessage()
                    .lines()
                    .forEach(line -> checks.add(fix("devices", line.strip(), "see hardware-notes/serial.md")));
            return checks;
        }
        Ticks ticks = new Ticks(bench, clock);
        try {
            everythingButTheSafeState(ticks);
        } catch (LimitReached e) {
            checks.add(fix("limits", e.getMessage() + " was reached; the check ended there", "see to the loop first"));
        } finally {
            safeState();
        }
        List<DeviceEvent> events = ticks.events();
        for (int i = 0; i < events.size(); i++) {
            DeviceEvent event = events.get(i);
            if (i >= eventsBeforeCutoffs && event.kind() == DeviceEvent.Kind.RESTARTED) {
                // It did what it was made to do.
                continue;
            }
            checks.add(
                    fix(event.device(), event.kind().text() + ": " + event.detail(), "see to plug, cable and power"));
        }
        return checks;
    }

    private void everythingButTheSafeState(Ticks ticks) throws LimitReached {
        progress.accept("everything to its safe duty, heat off");
        bench.heatOff();
        List<SetResult> set = file.actuators().stream()
                .map(a -> bench.set(a.name(), a.safePercent()))
                .toList();
        ticks.next(TICKS_TO_SPIN_UP);
        progress.accept("each channel at rest");
        List<Readout> rest = ticks.next(TICKS_AT_REST);
        checks.addAll(new RestCheck(file, rest, bench::heard).checks());
        checks.add(timing(ticks.tookMillis()));
        Readout atSafe = rest.get(rest.size() - 1);
        List<Drive> drives = new ArrayList<>();
        for (int i = 0; i < set.size(); i++) {
            ActuatorSpec actuator = file.actuators().get(i);
            if (set.get(i).done() && actuator.name().equals(BenchFile.FAN_SWITCH)) {
                checks.add(ok(actuator.name(), "on; it was not switched off for this"));
            } else if (set.get(i).done()) {
                drives.add(Drive.of(file, actuator, atSafe));
            } else {
                checks.add(fix(
                        actuator.name(),
                        "could not be set to its safe duty: " + set.get(i).detail(),
                        "compare set and readback with the device's manual; until then the bench is not safe"));
            }
        }
        progress.accept("each actuator moved a little and back");
        checks.addAll(new ActuatorCheck(bench, ticks).checks(drives));
        eventsBeforeCutoffs = ticks.events().size();
        cutoffs(ticks, drives);
        workloads();
    }

    private void identity(DeviceIdentity device) {
        Optional<DeviceSpec> spec = file.devices().stream()
                .filter(d -> d.name().equals(device.device()))
                .findFirst();
        String found = (device.identity().isEmpty() ? "answers" : device.identity()) + " on " + device.where();
        if (spec.isEmpty() || !(spec.get() instanceof DeviceSpec.Serial serial)) {
            checks.add(ok(device.device(), found));
        } else if (serial.identity().isEmpty()) {
            String remedy = device.identity().isEmpty()
                    ? "it has no identity that could be asked for: only its port tells it from another"
                    : "state identity: \"" + device.identity() + "\", so that it is found again and never confused";
            checks.add(note(device.device(), found, remedy));
        } else if (serial.port().startsWith("/dev/ttyUSB") || serial.port().startsWith("/dev/ttyACM")) {
            checks.add(note(
                    device.device(),
                    found,
                    "name its port by /dev/serial/by-id or with a star, /dev/ttyUSB*: numbers change"));
        } else {
            checks.add(ok(device.device(), found));
        }
    }

    private Check timing(List<Double> tookMillis) {
        List<Double> sorted = tookMillis.stream().sorted().toList();
        double most = sorted.get(sorted.size() - 1);
        double timeout = file.devices().stream()
                .filter(d -> d instanceof DeviceSpec.Serial)
                .mapToDouble(d -> ((DeviceSpec.Serial) d).timeoutMillis())
                .min()
                .orElse(LONGEST_TICK_MILLIS);
        String found = sorted.size() + " ticks of the whole bench: median "
                + Decimals.fixed(sorted.get((sorted.size() - 1) / 2), 1) + " ms, most " + Decimals.fixed(most, 1)
                + " ms";
        if (most > LONGEST_TICK_MILLIS) {
            return fix("tick", found, "too slow to be read once a second: a higher baud rate, fewer channels");
        }
        return most > timeout
                ? note("tick", found, "some answers came near their timeout: a longer timeout or a higher baud rate")
                : ok("tick", found);
    }

    // ---- cut-offs

    private void cutoffs(Ticks ticks, List<Drive> drives) throws LimitReached {
        CutoffCheck check = new CutoffCheck(ticks, progress);
        for (DeviceSpec device : file.devices()) {
            List<Drive> driven = drives.stream()
                    .filter(d -> d.actuator().device().equals(device.name()))
                    .toList();
            if (driven.isEmpty()) {
                continue;
            }
            OptionalDouble silence = ((DeviceSpec.Serial) device).silenceCutoffSeconds();
            checks.add(
                    silence.isEmpty()
                            ? fix(
                                    "silence of " + device.name(),
                                    "no cut-off is declared",
                                    "without one a night that nobody watches is refused: use a controller that goes to full"
                                            + " speed by itself, and state silence-cutoff")
                            : check.check(new FullSpeed(ticks, device.name(), silence.getAsDouble(), driven)));
            for (Drive drive : driven) {
                bench.set(drive.actuator().name(), drive.actuator().safePercent());
            }
        }
        if (file.supply().isPresent()) {
            checks.add(supplyCutoff(check, ticks, file.supply().get()));
        }
    }

    private Check supplyCutoff(CutoffCheck check, Ticks ticks, SupplySpec supply) throws LimitReached {
        if (supply.cutoff().isEmpty()) {
            return fix(
                    "supply",
                    "no cut-off is declared",
                    "without one a night that nobody watches is refused: a supply or a relay that switches the heat off by"
                            + " itself, and cutoff");
        }
        boolean seen =
                supply.readback().isPresent() || file.channel(BenchFile.POWER).isPresent();
        if (!seen) {
            return note(
                    "supply",
                    "whether its cut-off acts cannot be seen: it has no readback, and the bench no channel power",
                    "watch it yourself: pull its data cable while it heats");
        }
        try {
            return check.check(new HeatOff(ticks, supply));
        } finally {
            bench.heatOff();
        }
    }

    /** A controller that brings its outputs to full speed. */
    private final class FullSpeed implements Cutoff {
        private final Ticks ticks;
        private final String device;
        private final double declaredSeconds;
        private final List<Drive> drives;
        private Readout slow;
        private long endedNanos;

        FullSpeed(Ticks ticks, String device, double declaredSeconds, List<Drive> drives) {
            this.ticks = ticks;
            this.device = device;
            this.declaredSeconds = declaredSeconds;
            this.drives = drives;
        }

        @Override
        public String subject() {
            return "silence of " + device;
        }

        @Override
        public double declaredSeconds() {
            return declaredSeconds;
        }

        @Override
        public String arm() throws LimitReached {
            for (Drive drive : drives) {
                SetResult set = bench.set(drive.actuator().name(), drive.reducedPercent());
                if (!set.done()) {
                    return drive.actuator().name() + ": " + set.detail();
                }
            }
            for (Drive drive : drives) {
                slow = drive.settle(ticks);
            }
            return "";
        }

        @Override
        public boolean acted() throws LimitReached {
            Readout now = ticks.next();
            endedNanos = clock.nanos();
            return drives.stream().anyMatch(d -> safeAgain(d, now) || rising(d, now));
        }

        private boolean safeAgain(Drive drive, Readout now) {
            double readback = now.value(file.indexOf(drive.actuator().name()));
            return drive.actuator().readback().isPresent()
                    && Math.abs(readback - drive.actuator().safePercent()) <= NEARLY_SAFE_PERCENT;
        }

        private boolean rising(Drive drive, Readout now) {
            double[] before = drive.speedsAt(slow);
            double[] after = drive.speedsAt(now);
            for (int i = 0; i < after.length; i++) {
                double gap = drive.fullSpeeds()[i] - before[i];
                if (gap > 0 && after[i] - before[i] > RISING * gap) {
                    return true;
                }
            }
            return false;
        }

        @Override
        public String confirm() throws LimitReached, NotSeen {
            List<String> late = List.of();
            for (int i = 0; i < TICKS_TO_FULL_SPEED; i++) {
                Readout now = ticks.next();
                late = drives.stream().flatMap(d -> below(d, now).stream()).toList();
                if (late.isEmpty()) {
                    List<String> all =
                            drives.stream().flatMap(d -> d.speeds().stream()).toList();
                    return all.isEmpty()
                            ? "no tachometer shows it"
                            : "full speed " + Decimals.fixed((clock.nanos() - endedNanos) / 1e9, 1)
                                    + " s later, seen by " + String.join(", ", all);
                }
            }
            throw new NotSeen("after the silence " + String.join(", ", late));
        }

        private List<String> below(Drive drive, Readout now) {
            List<String> below = new ArrayList<>();
            double[] speeds = drive.speedsAt(now);
            for (int i = 0; i < speeds.length; i++) {
                double full = drive.fullSpeeds()[i];
                if (full > 0 && !(speeds[i] >= FULL_SPEED * full)) {
                    below.add(drive.speeds().get(i) + " stays at "
                            + (Double.isNaN(speeds[i]) ? "no reading" : Decimals.fixed(speeds[i], 0)) + " of "
                            + Decimals.fixed(full, 0) + " rpm");
                }
            }
            return below;
        }
    }

    /** A supply that switches the heat off, as it says itself and as the channel power shows. */
    private final class HeatOff implements Cutoff {
        private final Ticks ticks;
        private final SupplySpec supply;
        private Power cold;
        private Power heating;
        private Power after;

        /** What the supply says and what is measured, W; NaN where nobody can say. */
        private record Power(double said, double measured) {}

        HeatOff(Ticks ticks, SupplySpec supply) {
            this.ticks = ticks;
            this.supply = supply;
        }

        @Override
        public String subject() {
            return "silence of the supply";
        }

        @Override
        public double declaredSeconds() {
            return supply.cutoff().orElseThrow().silenceSeconds();
        }

        private Power power() throws LimitReached {
            Readout now = ticks.next();
            return new Power(now.supplyWatts(), now.powerWatts());
        }

        @Override
        public String arm() throws LimitReached {
            bench.heatOff();
            ticks.next(2);
            cold = power();
            SetResult on = bench.heatOn(new HeatDemand.Power(LITTLE_WATTS));
            if (!on.done()) {
                return "it could not be set to " + on.asked() + ": " + on.detail();
            }
            ticks.next(2);
            heating = power();
            return seen() ? "" : "set to " + Decimals.fixed(LITTLE_WATTS, 0) + " W, nothing shows that it heats";
        }

        private boolean measures() {
            return heating.measured() - cold.measured() > OFF_SHARE * LITTLE_WATTS;
        }

        private boolean seen() {
            return measures() || heating.said() > 0;
        }

        @Override
        public boolean acted() throws LimitReached {
            after = power();
            boolean relay = supply.cutoff().orElseThrow().by().equals("relay");
            return relay && measures() || Double.isNaN(after.said())
                    ? coldAgain()
                    : after.said() < OFF_SHARE * heating.said();
        }

        private boolean coldAgain() {
            return after.measured() - cold.measured() < OFF_SHARE * LITTLE_WATTS;
        }

        @Override
        public String confirm() throws LimitReached, NotSeen {
            ticks.next(2);
            after = power();
            if (measures() && !coldAgain()) {
                throw new NotSeen("the supply says " + watts(after.said()) + ", but the channel power is at "
                        + watts(after.measured()) + ", as with the heat on");
            }
            return measures()
                    ? "power " + watts(heating.measured()) + " before, " + watts(after.measured()) + " after"
                    : "it says " + watts(heating.said()) + " before, " + watts(after.said()) + " after";
        }

        private static String watts(double watts) {
            return Double.isNaN(watts) ? "nothing" : Decimals.fixed(watts, 1) + " W";
        }
    }

    // ---- loads and the safe state

    private void workloads() {
        boolean local = false;
        for (WorkloadSpec workload : file.workloads()) {
            if (workload instanceof WorkloadSpec.Command command) {
                local = true;
                Optional<String> missing = Loads.missing(command.command().get(0));
                checks.add(
                        missing.isPresent()
                                ? fix("workload " + workload.name(), missing.get(), "install it, or correct run")
                                : ok("workload " + workload.name(), "its program is there; it was not started"));
            }
        }
        if (local) {
            checks.add(ok("workloads", Loads.containment()));
        }
    }

    private void safeState() {
        progress.accept("the safe state");
        long began = clock.nanos();
        List<SetResult> results = bench.makeSafe(false);
        double millis = (clock.nanos() - began) / 1e6;
        String done = results.stream()
                .map(r -> r.target() + " " + (r.done() ? r.asked() : "NOT " + r.asked() + " (" + r.detail() + ")"))
                .collect(Collectors.joining(", "));
        if (!results.stream().allMatch(SetResult::done)) {
            checks.add(fix("safe state", done, "nothing is safe on this bench before this works"));
            return;
        }
        for (ActuatorSpec actuator : file.actuators()) {
            if (bench.set(actuator.name(), Drive.reducedPercent(actuator)).done()) {
                checks.add(fix(
                        "safe state",
                        actuator.name() + " could be set to less afterwards",
                        "an error of this program"));
            }
        }
        checks.add(ok(
                "safe state", done + "; took " + Decimals.fixed(millis, 0) + " ms; anything less is refused after it"));
    }
}
