package org.plateaubench.plan;

import java.time.LocalTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.benchfile.Limit;

/**
 * What to do in a night. A model only; a reader of this room reads and checks it.
 *
 * @param title short name of the plan
 * @param purpose the question that it answers
 * @param sampleEverySeconds time from tick to tick, s
 * @param finishBy local time by which the night must end, if stated
 * @param pumpLock the pump's speed
 * @param conditions what must hold while the loop is loaded, in file order
 * @param heat the heat load, if any measurement needs one
 * @param measurements in file order, at least one
 * @param limits limits that tighten the bench's, in file order
 */
public record Plan(
        String title,
        String purpose,
        double sampleEverySeconds,
        Optional<LocalTime> finishBy,
        PumpLock pumpLock,
        List<Condition> conditions,
        Optional<HeatDemand> heat,
        List<Measurement> measurements,
        List<Limit> limits) {

    /** Copies the lists. */
    public Plan {
        conditions = List.copyOf(conditions);
        measurements = List.copyOf(measurements);
        limits = List.copyOf(limits);
    }

    /**
     * The pump's speed, set once and watched all night.
     *
     * @param rpm target, rpm
     * @param withinPercent tolerance, per cent of the target
     * @param forSeconds for how long it must be within the tolerance before it counts as locked, s
     */
    public record PumpLock(double rpm, double withinPercent, double forSeconds) {}

    /** Something that must hold while the loop is loaded. */
    public sealed interface Condition {

        /** {@return name of the channel} */
        String channel();

        /**
         * A channel stays near a value.
         *
         * @param channel its name
         * @param at the value, in the base unit of its dimension
         * @param withinPercent tolerance, per cent of the value
         */
        record Near(String channel, double at, double withinPercent) implements Condition {}

        /**
         * A channel keeps the value that it had when the pass began.
         *
         * @param channel its name
         */
        record Unchanged(String channel) implements Condition {}
    }

    /**
     * The limits that hold on a bench: the bench's, then the plan's. One of the plan's stops the pump where the bench's
     * limit of the same channel and side does, so that an earlier end is no less safe.
     *
     * @param bench the bench
     * @return the limits
     */
    public List<Limit> limitsOn(BenchFile bench) {
        List<Limit> all = new ArrayList<>(bench.limits());
        for (Limit limit : limits) {
            boolean pumpOff = bench.limits().stream()
                    .anyMatch(b -> b.pumpOff() && b.channel().equals(limit.channel()) && b.side() == limit.side());
            all.add(new Limit(limit.channel(), limit.side(), limit.threshold(), limit.forSeconds(), pumpOff));
        }
        return List.copyOf(all);
    }

    /**
     * The lowest upper limit of the coolant.
     *
     * @param bench the bench file
     * @return °C; empty if it has none
     */
    public OptionalDouble coolantLimitCelsius(BenchFile bench) {
        return limitsOn(bench).stream()
                .filter(l -> l.side() == Limit.Side.ABOVE && l.channel().startsWith(BenchFile.COOLANT))
                .mapToDouble(l -> l.threshold().inBase())
                .min();
    }

    /** {@return the thermal measurement, if the plan has one} */
    public Optional<Measurement.Thermal> thermal() {
        return measurements.stream()
                .filter(Measurement.Thermal.class::isInstance)
                .map(Measurement.Thermal.class::cast)
                .findFirst();
    }
}
