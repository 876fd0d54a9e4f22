package org.plateaubench.night;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.time.OffsetDateTime;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.function.Supplier;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.bench.sim.Truth;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.plan.Plan;

/**
 * The same passes as they are done by hand: a fixed wait for idle equilibrium before each, a fixed wait under heat, then
 * the average, and nothing corrected. How far from equilibrium that ends is taken from the truth of one night in a still
 * room, so that only settling is in it.
 */
final class FixedWaits {

    /** The usual wait. Common practice, no source. */
    static final double USUAL_SECONDS = 1800.0;

    private static final double LONGEST_SECONDS = 9000.0;
    private static final double BIN_SECONDS = 60.0;
    private static final int BINS = (int) (LONGEST_SECONDS / BIN_SECONDS);

    private final Measurement.Thermal thermal;
    private final Map<String, double[]> errorKelvin = new LinkedHashMap<>();

    private FixedWaits(Measurement.Thermal thermal) {
        this.thermal = thermal;
    }

    /**
     * Rehearses long soaks of every step.
     *
     * @param files plan, fans and bench file
     * @param twin the bench file with its simulation part
     * @return what fixed waits lead to
     */
    static FixedWaits of(NightFiles files, BenchFile twin) {
        FixedWaits waits = new FixedWaits(files.plan().thermal().orElseThrow());
        BenchFile still = TruthfulNight.with(
                twin,
                twin.simulation().orElseThrow().seed(),
                TruthfulNight.setting(SimulationKey.HEATING_CYCLE_AMPLITUDE, 0.0),
                TruthfulNight.setting(SimulationKey.AMBIENT_WANDER, 0.0),
                TruthfulNight.setting(SimulationKey.AMBIENT_DRIFT, 0.0),
                TruthfulNight.setting(SimulationKey.DOOR_OPENINGS, 0.0),
                TruthfulNight.setting(SimulationKey.POWER_SPREAD, 0.0));
        OffsetDateTime start = still.simulation().orElseThrow().start();
        VirtualClock clock = VirtualClock.unpaced(start.toInstant());
        SimulatedBench bench = SimulatedBench.create(
                still, files.fans().set(), files.fans().mount().number(), 1, clock, Transport.IN_PROCESS);
        NightFiles byHand = new NightFiles(
                waits.plan(files.plan()),
                files.fans(),
                files.bench(),
                files.planText(),
                files.fansText(),
                files.benchText());
        try {
            Rehearsal.of(byHand, start, bench, clock, waits.listener(bench.truth()));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
        return waits;
    }

    /** Each step once, after the usual wait without heat, and as long under heat as will ever be asked about. */
    private Plan plan(Plan plan) {
        Measurement.Cooldown cooldown = thermal.cooldown();
        Measurement.Thermal once = new Measurement.Thermal(
                new Measurement.Cooldown(
                        Measurement.Cooldown.Each.PASS,
                        cooldown.dutyPercent(),
                        cooldown.until(),
                        cooldown.withinBaselineKelvin(),
                        USUAL_SECONDS,
                        USUAL_SECONDS),
                new Measurement.Soak(thermal.soak().until(), LONGEST_SECONDS, LONGEST_SECONDS),
                BIN_SECONDS,
                thermal.steps(),
                1,
                thermal.order(),
                Optional.empty());
        return new Plan(
                plan.title(),
                plan.purpose(),
                plan.sampleEverySeconds(),
                Optional.empty(),
                plan.pumpLock(),
                plan.conditions(),
                plan.heat(),
                plan.measurements().stream()
                        .map(m -> m instanceof Measurement.Thermal ? once : m)
                        .toList(),
                plan.limits());
    }

    private NightListener listener(Truth truth) {
        return new NightListener() {
            private String pass = "";
            private double soakFromSeconds;
            private int[] counts = new int[BINS];

            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                Progress now = progress.get();
                if (!now.stage().equals("soak")) {
                    return;
                }
                if (!now.pass().equals(pass)) {
                    pass = now.pass();
                    soakFromSeconds = seconds;
                    counts = new int[BINS];
                }
                int bin = (int) ((seconds - soakFromSeconds) / BIN_SECONDS);
                if (bin < BINS) {
                    double[] errors = errorKelvin.computeIfAbsent(now.step(), step -> new double[BINS]);
                    double error = truth.riseKelvin()
                            - truth.steadyRiseKelvin(
                                    truth.meanFanRpm(), truth.sourceWatts(), truth.ambientCelsius(), truth.pumpRpm());
                    errors[bin] += (error - errors[bin]) / ++counts[bin];
                }
            }
        };
    }

    /** Bias of the passes after a wait under heat: root of the mean square over steps, K; NaN beyond the longest. */
    double biasKelvin(double waitSeconds) {
        int from = (int) (waitSeconds / BIN_SECONDS);
        int to = from + StrictMath.max(1, (int) (thermal.dwellSeconds() / BIN_SECONDS));
        if (to > BINS || errorKelvin.isEmpty()) {
            return Double.NaN;
        }
        double squares = 0.0;
        for (double[] errors : errorKelvin.values()) {
            double sum = 0.0;
            for (int bin = from; bin < to; bin++) {
                sum += errors[bin];
            }
            squares += sum / (to - from) * (sum / (to - from));
        }
        return StrictMath.sqrt(squares / errorKelvin.size());
    }

    /** Shortest wait under heat, in whole minutes, after which the bias is no larger, s; NaN if none is long enough. */
    double waitSeconds(double biasKelvin) {
        for (int bin = 0; bin < BINS; bin++) {
            if (biasKelvin(bin * BIN_SECONDS) <= biasKelvin) {
                return bin * BIN_SECONDS;
            }
        }
        return Double.NaN;
    }

    /** How long passes take with a wait under heat, h: each with its wait without heat, its own, and its dwell. */
    double hours(double waitSeconds, double passes) {
        return passes * (USUAL_SECONDS + waitSeconds + thermal.dwellSeconds()) / 3600.0;
    }
}
