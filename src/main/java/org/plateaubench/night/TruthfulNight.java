package org.plateaubench.night;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.function.Supplier;
import java.util.stream.Collectors;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.bench.sim.Truth;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;

/** A rehearsed night together with the truth that its results ought to find. */
final class TruthfulNight {

    private static final int HALVINGS = 60;
    private static final double SLOWEST_RPM = 10.0;
    private static final double FASTEST_RPM = 10_000.0;

    private final NightFiles files;
    private final Rehearsal rehearsal;
    private final Truth truth;
    private final double dwellWatts;

    private TruthfulNight(NightFiles files, Rehearsal rehearsal, Truth truth, double dwellWatts) {
        this.files = files;
        this.rehearsal = rehearsal;
        this.truth = truth;
        this.dwellWatts = dwellWatts;
    }

    /**
     * Rehearses a night.
     *
     * @param files plan, fans and bench file
     * @param twin the bench file with its simulation part
     * @param seed seed of the night
     * @return the night
     */
    static TruthfulNight of(NightFiles files, BenchFile twin, long seed) {
        OffsetDateTime start = twin.simulation().orElseThrow().start();
        VirtualClock clock = VirtualClock.unpaced(start.toInstant());
        SimulatedBench bench = SimulatedBench.create(
                twin, files.fans().set(), files.fans().mount().number(), seed, clock, Transport.IN_PROCESS);
        DwellPower power = new DwellPower(bench.truth());
        try {
            Rehearsal rehearsal = Rehearsal.of(files, start, bench, clock, power);
            return new TruthfulNight(files, rehearsal, bench.truth(), power.mean());
        } catch (IOException e) {
            throw new UncheckedIOException("seed " + seed, e);
        }
    }

    /** What the source gives while results are taken, W. */
    private static final class DwellPower implements NightListener {
        private final Truth truth;
        private double sum;
        private long ticks;

        DwellPower(Truth truth) {
            this.truth = truth;
        }

        @Override
        public void tick(long tick, double seconds, Supplier<Progress> progress) {
            if (progress.get().stage().equals("dwell")) {
                sum += truth.sourceWatts();
                ticks++;
            }
        }

        double mean() {
            return sum / ticks;
        }
    }

    /** The bench file with some of the simulator's numbers set otherwise. */
    static BenchFile with(BenchFile twin, long seed, SimulationSpec.Setting... settings) {
        SimulationSpec spec = twin.simulation().orElseThrow();
        List<SimulationSpec.Setting> all = new ArrayList<>(spec.settings());
        all.addAll(List.of(settings));
        return twin.withSimulation(new SimulationSpec(spec.start(), seed, all, spec.sets()));
    }

    static SimulationSpec.Setting setting(SimulationKey key, double value) {
        return new SimulationSpec.Setting(key, value);
    }

    NightResults results() {
        return rehearsal.results();
    }

    double hours() {
        return rehearsal.seconds() / 3600.0;
    }

    /** Its length without the passes of other measurements, h. */
    double thermalHours() {
        Set<String> others = results().passes().stream()
                .filter(p -> !p.thermal())
                .map(PassResult::pass)
                .collect(Collectors.toSet());
        double otherSeconds = rehearsal.timeline().stream()
                .filter(e -> others.contains(e.pass()))
                .mapToDouble(e -> e.endSeconds() - e.beginSeconds())
                .sum();
        return (rehearsal.seconds() - otherSeconds) / 3600.0;
    }

    /** How many passes of the thermal measurement were done. */
    int thermalPasses() {
        return (int) results().passes().stream()
                .filter(p -> p.thermal() && p.status() == PassResult.Status.DONE)
                .count();
    }

    /** Mean heat flow during dwells, W; NaN without any. */
    double dwellWatts() {
        return dwellWatts;
    }

    /**
     * The rise that a step truly has: of this fan set, this mount and this night, at equilibrium, at the speed of the
     * setpoint and a heat flow.
     *
     * @param index which step, from 0
     * @param watts heat flow where the bench measures none, W; otherwise that which the result is stated at is taken
     * @return K
     */
    double riseKelvin(int index, double watts) {
        Measurement.Step step = files.plan().thermal().orElseThrow().steps().get(index);
        return riseKelvin(index, watts, rpm(step, results().steps().get(index)));
    }

    /** The same at another speed, rpm. */
    double riseKelvin(int index, double watts, double rpm) {
        StepResult step = results().steps().get(index);
        return truth.steadyRiseKelvin(
                rpm,
                Double.isNaN(step.nominalWatts()) ? watts : step.nominalWatts(),
                results().passes().stream()
                        .filter(PassResult::counts)
                        .mapToDouble(p -> p.dwell().ambientCelsius())
                        .average()
                        .orElse(Double.NaN),
                files.plan().pumpLock().rpm());
    }

    /** The speed that a setpoint asks for; for an own level that at which the fans truly have it. */
    private double rpm(Measurement.Step step, StepResult result) {
        if (!(step instanceof Measurement.Step.OwnLevel level)) {
            return result.nominalRpm();
        }
        double low = SLOWEST_RPM;
        double high = FASTEST_RPM;
        for (int i = 0; i < HALVINGS; i++) {
            double middle = 0.5 * (low + high);
            if (truth.ownLevelDb(middle) < level.db()) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }
}
