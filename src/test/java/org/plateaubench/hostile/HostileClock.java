package org.plateaubench.hostile;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.function.BooleanSupplier;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.VirtualClock;

/**
 * The program's clock on a machine that stalls, sleeps, and has its wall clock set. The bench's own time goes on
 * meanwhile.
 */
final class HostileClock implements Clock {

    private static final long NANOS_A_MILLI = 1_000_000;

    private final VirtualClock bench;
    private final List<Mishap> pauses;
    private final List<Mishap> steps;
    private final boolean[] paused;
    private long asleepNanos;

    HostileClock(VirtualClock bench, List<Mishap> mishaps) {
        this.bench = bench;
        pauses = mishaps.stream()
                .filter(m -> m.what().equals(Mishap.STALL) || m.what().equals(Mishap.SLEEP))
                .toList();
        steps = mishaps.stream().filter(m -> m.what().equals(Mishap.CLOCK_STEP)).toList();
        paused = new boolean[pauses.size()];
    }

    @Override
    public long nanos() {
        return bench.nanos() - asleepNanos;
    }

    @Override
    public Instant wall() {
        Instant wall = bench.wall();
        for (Mishap step : steps) {
            if (bench.nanos() >= step.fromMillis() * NANOS_A_MILLI) {
                wall = wall.plus(Duration.ofMillis(StrictMath.round(step.value() * 1000)));
            }
        }
        return wall;
    }

    @Override
    public void awaitNanos(long offsetNanos, BooleanSupplier enough) {
        if (enough.getAsBoolean()) {
            return;
        }
        bench.awaitNanos(offsetNanos + asleepNanos, enough);
        for (int i = 0; i < paused.length; i++) {
            Mishap pause = pauses.get(i);
            if (!paused[i] && bench.nanos() >= pause.fromMillis() * NANOS_A_MILLI) {
                paused[i] = true;
                long nanos = StrictMath.round(pause.seconds() * 1e9);
                bench.spend(nanos);
                asleepNanos += pause.what().equals(Mishap.SLEEP) ? nanos : 0;
            }
        }
    }

    @Override
    public void spend(long nanos) {
        bench.spend(nanos);
    }

    /** A night must take this for a machine's clock, or it would not look for stalls. */
    @Override
    public boolean simulated() {
        return false;
    }
}
