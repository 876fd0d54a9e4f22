package org.plateaubench.night;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.List;
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
import org.plateaubench.equilibrium.CriterionRule;
import org.plateaubench.equilibrium.PublishedCriterion;
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

    /** For each step and criterion after how long under heat it was first met, s. */
    private final Map<String, Map<PublishedCriterion, Double>> metSeconds = new LinkedHashMap<>();

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
            private final Map<PublishedCriterion, CriterionRule> rules = new EnumMap<>(PublishedCriterion.class);

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
                    for (PublishedCriterion criterion : PublishedCriterion.values()) {
                        rules.put(criterion, new CriterionRule(criterion));
                    }
                }
                ask(now.step(), seconds);
                int bin = (int) ((seconds - soakFromSeconds) / BIN_SECONDS);
                if (bin < BINS) {
                    double[] errors = errorKelvin.computeIfAbsent(now.step(), step -> new double[BINS]);
                    double error = truth.riseKelvin()
                            - truth.steadyRiseKelvin(
                                    truth.meanFanRpm(), truth.sourceWatts(), truth.ambientCelsius(), truth.pumpRpm());
                    errors[bin] += (error - errors[bin]) / ++counts[bin];
                }
            }

            private void ask(String step, double seconds) {
                Map<PublishedCriterion, Double> met =
                        metSeconds.computeIfAbsent(step, s -> new EnumMap<>(PublishedCriterion.class));
                rules.forEach((criterion, rule) -> {
                    rule.add(seconds, truth.riseKelvin());
                    if (rule.settled()) {
                        met.putIfAbsent(criterion, seconds - soakFromSeconds);
                    }
                });
            }
        };
    }

    /** Bias of the passes after a wait under heat: root of the mean square over steps, K; NaN beyond the longest. */
    double biasKelvin(double waitSeconds) {
        return rootMeanSquare(errorKelvin.values().stream()
                .map(errors -> biasKelvin(errors, waitSeconds))
                .toList());
    }

    /** Mean error of one step over a dwell that follows a wait, K; NaN beyond the longest. */
    private double biasKelvin(double[] errors, double waitSeconds) {
        int from = (int) (waitSeconds / BIN_SECONDS);
        int to = from + StrictMath.max(1, (int) (thermal.dwellSeconds() / BIN_SECONDS));
        return to > BINS
                ? Double.NaN
                : Arrays.stream(errors, from, to).average().orElseThrow();
    }

    private static double rootMeanSquare(List<Double> values) {
        return StrictMath.sqrt(values.stream().mapToDouble(v -> v * v).average().orElse(Double.NaN));
    }

    /** What waits by published criteria lead to, in a still room, with readings that are right. */
    List<ManyNights.PublishedWait> published() {
        return Arrays.stream(PublishedCriterion.values()).map(this::published).toList();
    }

    private ManyNights.PublishedWait published(PublishedCriterion criterion) {
        List<Double> waits = new ArrayList<>();
        List<Double> biases = new ArrayList<>();
        errorKelvin.forEach((step, errors) -> {
            double wait = metSeconds.get(step).getOrDefault(criterion, Double.NaN);
            waits.add(wait);
            biases.add(Double.isNaN(wait) ? Double.NaN : biasKelvin(errors, wait));
        });
        return new ManyNights.PublishedWait(
                criterion.source(),
                waits.stream().mapToDouble(w -> w).average().orElse(Double.NaN),
                rootMeanSquare(biases));
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
