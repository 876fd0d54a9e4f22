package org.plateaubench.night;

import java.time.OffsetDateTime;
import java.util.List;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.IntConsumer;
import java.util.stream.IntStream;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.uncertainty.Proportion;

/**
 * Many seeded nights of one plan on the simulated twin of its bench, judged by the truth of each: what the plan can
 * resolve. Every seed is rehearsed twice, once with sensors that are right, for what repeats and for differences, and once
 * with sensors whose offsets are drawn anew from their stated uncertainty, for the full intervals.
 *
 * <p>For differences the nights are compared in pairs, the first with the second, the third with the fourth: the same fan
 * set and mount, so that whatever is found is false. Night effects are part of it: they are what makes two nights of one
 * set differ.
 *
 * @param nights how many seeds
 * @param firstSeed the first of them; the others follow
 * @param steps one a step, in plan order
 * @param repeatability share of the intervals for repeatability that hold the truth, over all steps, sensors right
 * @param coverage share of the full intervals that hold the truth, over all steps, offsets drawn
 * @param differences what comparing two nights leads to
 * @param replicated what comparing two nights with two others leads to
 * @param settled share of the passes that were said to have settled
 * @param falselySettled share of those whose mean, as it was measured, was farther from the truth than the limit
 * @param settlingLimitKelvin that limit, K: the plan's remaining rise, or else 0.2 K
 * @param hours what it takes
 * @param publishedWaits what other rules for equilibrium would lead to on this bench
 */
public record ManyNights(
        int nights,
        long firstSeed,
        List<Step> steps,
        Proportion repeatability,
        Proportion coverage,
        Differences differences,
        Replicated replicated,
        Proportion settled,
        Proportion falselySettled,
        double settlingLimitKelvin,
        Hours hours,
        List<PublishedWait> publishedWaits) {

    /** Copies the lists. */
    public ManyNights {
        steps = List.copyOf(steps);
        publishedWaits = List.copyOf(publishedWaits);
    }

    /**
     * Waiting under heat by a published criterion instead, and correcting nothing.
     *
     * @param source the standard, its edition and clause
     * @param waitSeconds how long, mean over steps, s; NaN if not within two and a half hours
     * @param biasKelvin bias of what follows, root of the mean square over steps, K; NaN if it would end after that time
     */
    public record PublishedWait(String source, double waitSeconds, double biasKelvin) {}

    /**
     * One step.
     *
     * @param step its setpoint
     * @param truthKelvin mean of the true rises, K
     * @param biasKelvin mean error, sensors right, K
     * @param spreadKelvin standard deviation of the errors, sensors right, K
     * @param passSpreadKelvin standard deviation of single passes within a night, sensors right, K
     * @param errorKelvin size that 95 % of the errors stay below, sensors right, K; for a step at a level, at the speed
     *     that was matched to it
     * @param repeatability share of the intervals for repeatability that hold the truth, sensors right, at that speed
     * @param repeatabilityKelvin median half-width of these intervals, K
     * @param coverage share of the full intervals that hold the truth, offsets drawn
     * @param expandedKelvin median half-width of these intervals, K
     * @param coverageFactor median of their coverage factors
     * @param errorWithOffsetsKelvin size that 95 % of the errors stay below, offsets drawn, K
     * @param twiceRepeatsKelvin about what the median half-width of the full intervals would be with twice the repeats, K
     */
    public record Step(
            String step,
            double truthKelvin,
            double biasKelvin,
            double spreadKelvin,
            double passSpreadKelvin,
            double errorKelvin,
            Proportion repeatability,
            double repeatabilityKelvin,
            Proportion coverage,
            double expandedKelvin,
            double coverageFactor,
            double errorWithOffsetsKelvin,
            double twiceRepeatsKelvin) {}

    /**
     * Pairs of nights of one fan set, compared as two sets.
     *
     * @param pairs how many gave intervals
     * @param steps for each step and for their mean, how its own interval holds
     * @param coverage share of the intervals for one difference that hold the true one, over all steps
     * @param allHold share of the pairs where the simultaneous intervals hold the true differences all at once
     * @param falselyDifferent share of the pairs where a difference of the sets was shown that is none
     * @param foundKelvin smallest true difference, the same at every step, that four of five pairs would show, K
     * @param found shares of the pairs that would show some true differences
     */
    public record Differences(
            int pairs,
            List<DifferenceStep> steps,
            Proportion coverage,
            Proportion allHold,
            Proportion falselyDifferent,
            double foundKelvin,
            List<Found> found) {
        /** Copies the lists. */
        public Differences {
            steps = List.copyOf(steps);
            found = List.copyOf(found);
        }
    }

    /**
     * Differences at one step.
     *
     * @param step its setpoint, or the mean of all steps
     * @param coverage share of the intervals for this difference alone that hold the true one
     * @param expandedKelvin median half-width of these intervals, K
     * @param coverageFactor median of their coverage factors
     * @param errorKelvin size that 95 % of the errors stay below, K
     * @param twiceRepeatsKelvin about what the median half-width would be with twice the repeats, K
     */
    public record DifferenceStep(
            String step,
            Proportion coverage,
            double expandedKelvin,
            double coverageFactor,
            double errorKelvin,
            double twiceRepeatsKelvin) {}

    /**
     * Groups of four nights of one fan set, compared as two sets of two nights each.
     *
     * @param groups how many
     * @param falselyDifferent share of the groups where a difference of the sets was shown that is none
     * @param foundKelvin smallest true difference, the same at every step, that four of five groups would show, K
     * @param found shares of the groups that would show some true differences
     */
    public record Replicated(int groups, Proportion falselyDifferent, double foundKelvin, List<Found> found) {
        /** Copies the list. */
        public Replicated {
            found = List.copyOf(found);
        }
    }

    /**
     * How often a true difference would be shown.
     *
     * @param kelvin the difference, K
     * @param share share of the pairs
     */
    public record Found(double kelvin, Proportion share) {}

    /**
     * What it takes.
     *
     * @param night mean length of a night, h
     * @param thermal of these the hours that are not another measurement's passes
     * @param passes mean number of passes of the thermal measurement that were done
     * @param biasKelvin root of the mean square of the steps' biases, K
     * @param fixed length of the same passes with fixed waits of 30 minutes, h
     * @param fixedBiasKelvin bias of those, K
     * @param equalWaitSeconds wait under heat that has the plan's bias, or 0.01 K if that is larger, s; NaN if over two
     *     hours
     * @param equal length of the same passes with that wait, h; NaN if there is none
     */
    public record Hours(
            double night,
            double thermal,
            double passes,
            double biasKelvin,
            double fixed,
            double fixedBiasKelvin,
            double equalWaitSeconds,
            double equal) {

        /** {@return the thermal hours over those with fixed waits of the same bias; NaN if there is no such wait} */
        public double shareOfEqualBias() {
            return thermal / equal;
        }
    }

    /**
     * Rehearses the nights, on all processors.
     *
     * @param files plan, fans and bench file; the plan has a thermal measurement
     * @param nights how many seeds; 2 or more
     * @param firstSeed the first of them
     * @param now local time at which a night on a real bench would begin
     * @param progress told how many nights are done, from any thread
     * @return what they show
     * @throws IllegalArgumentException if there are fewer than two nights, or no thermal measurement
     */
    public static ManyNights of(
            NightFiles files, int nights, long firstSeed, OffsetDateTime now, IntConsumer progress) {
        if (nights < 2 || files.plan().thermal().isEmpty()) {
            throw new IllegalArgumentException(
                    "statistics need two nights or more of a plan with a thermal measurement, found " + nights);
        }
        BenchFile twin = Rehearsal.twin(files.bench(), now);
        long benchSeed = twin.simulation().orElseThrow().seed();
        BenchFile right = TruthfulNight.with(twin, benchSeed, TruthfulNight.setting(SimulationKey.SENSOR_OFFSETS, 0.0));
        AtomicInteger done = new AtomicInteger();
        List<TruthfulNight> plain = IntStream.range(0, nights)
                .parallel()
                .mapToObj(i -> counted(TruthfulNight.of(files, right, firstSeed + i), done, progress))
                .toList();
        List<TruthfulNight> offset = IntStream.range(0, nights)
                .parallel()
                .mapToObj(i -> {
                    BenchFile drawn = TruthfulNight.with(
                            twin, benchSeed + 1 + i, TruthfulNight.setting(SimulationKey.SENSOR_OFFSETS, 100.0));
                    return counted(TruthfulNight.of(files, drawn, firstSeed + i), done, progress);
                })
                .toList();
        return new NightStatistics(files, plain, offset).all(firstSeed, FixedWaits.of(files, twin));
    }

    private static TruthfulNight counted(TruthfulNight night, AtomicInteger done, IntConsumer progress) {
        progress.accept(done.incrementAndGet());
        return night;
    }
}
