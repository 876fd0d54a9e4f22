package org.plateaubench.plan;

import java.time.Duration;
import java.time.LocalTime;
import java.time.OffsetDateTime;

/**
 * How long the parts of a night take at the least or at the most, from the plan alone. Setting speeds is left out.
 *
 * @param pumpLockSeconds until the pump is locked, s
 * @param otherMeasurementsSeconds characterisation and listening together, s
 * @param baselineSeconds one baseline, s; a night has one at its start and one at its end
 * @param cooldownSeconds one cooldown, s
 * @param soakSeconds one soak, s
 * @param dwellSeconds one dwell, s
 */
public record NightEstimate(
        double pumpLockSeconds,
        double otherMeasurementsSeconds,
        double baselineSeconds,
        double cooldownSeconds,
        double soakSeconds,
        double dwellSeconds) {

    /**
     * The least time: everything settles as soon as its window and hold are full.
     *
     * @param plan the plan
     * @param thermal its thermal measurement
     * @return the estimate
     */
    public static NightEstimate shortest(Plan plan, Measurement.Thermal thermal) {
        double idle = Math.max(
                thermal.cooldown().atLeastSeconds(), thermal.cooldown().until().shortestSeconds());
        double soak =
                Math.max(thermal.soak().atLeastSeconds(), thermal.soak().until().shortestSeconds());
        return of(plan, thermal, idle, soak);
    }

    /**
     * The most time: nothing settles before its at-most.
     *
     * @param plan the plan
     * @param thermal its thermal measurement
     * @return the estimate
     */
    public static NightEstimate longest(Plan plan, Measurement.Thermal thermal) {
        return of(
                plan,
                thermal,
                thermal.cooldown().atMostSeconds(),
                thermal.soak().atMostSeconds());
    }

    private static NightEstimate of(Plan plan, Measurement.Thermal thermal, double idle, double soak) {
        double others = plan.measurements().stream()
                .mapToDouble(NightEstimate::otherSeconds)
                .sum();
        return new NightEstimate(plan.pumpLock().forSeconds(), others, idle, idle, soak, thermal.dwellSeconds());
    }

    private static double otherSeconds(Measurement measurement) {
        if (measurement instanceof Measurement.Characterise c) {
            double duties = StrictMath.floor((c.toPercent() - c.fromPercent()) / c.byPercent()) + 1;
            return 2 * duties * c.settleSeconds() * c.sweeps();
        }
        if (measurement instanceof Measurement.Acoustic a) {
            return a.speedsRpm().size() * (a.listenSeconds() + 2 * a.backgroundListenSeconds());
        }
        return 0;
    }

    /**
     * A block with its cooldowns.
     *
     * @param each when a cooldown is done
     * @param passes how many passes the block has
     * @return its time, s
     */
    public double blockSeconds(Measurement.Cooldown.Each each, int passes) {
        double cooldowns = switch (each) {
            case PASS -> passes * cooldownSeconds;
            case BLOCK -> cooldownSeconds;
            case NONE -> 0;
        };
        return cooldowns + passes * (soakSeconds + dwellSeconds);
    }

    /**
     * A night with one block, from its start to the end of the last baseline.
     *
     * @param thermal the thermal measurement
     * @return its time, s
     */
    public double oneBlockNightSeconds(Measurement.Thermal thermal) {
        int passes = thermal.steps().size() + (thermal.reference().isPresent() ? 1 : 0);
        return pumpLockSeconds
                + otherMeasurementsSeconds
                + 2 * baselineSeconds
                + blockSeconds(thermal.cooldown().each(), passes);
    }

    /**
     * How long a night may last.
     *
     * @param start when it starts
     * @param finishBy local time by which it must end
     * @return time from the start to the next such time of day, s
     */
    public static double secondsUntil(OffsetDateTime start, LocalTime finishBy) {
        OffsetDateTime finish = start.with(finishBy);
        return Duration.between(start, finish.isAfter(start) ? finish : finish.plusDays(1))
                .toSeconds();
    }
}
