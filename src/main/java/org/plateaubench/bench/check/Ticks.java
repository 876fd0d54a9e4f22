package org.plateaubench.bench.check;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Sweep;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Limit;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.clock.Clock;
import org.plateaubench.sample.Sample;

/** Reads the bench once a second, watches its limits meanwhile, and can fall silent on purpose. */
final class Ticks {

    private static final long PERIOD_NANOS = 1_000_000_000L;

    private final Bench bench;
    private final Clock clock;
    private final Readout.Columns columns;
    private final List<Limit> limits;
    private final double[] passedSinceSeconds;
    private final List<Double> tookMillis = new ArrayList<>();
    private final List<Sweep.DeviceEvent> events = new ArrayList<>();
    private long tick;
    private long nextNanos;

    /** A limit of the bench was passed for its time. */
    static final class LimitReached extends Exception {
        private static final long serialVersionUID = 1L;

        LimitReached(String message) {
            super(message);
        }
    }

    Ticks(Bench bench, Clock clock) {
        this.bench = bench;
        this.clock = clock;
        this.columns = new Readout.Columns(bench.file());
        // The pump's limits are for a pump that is locked to its speed.
        this.limits = bench.file().limits().stream()
                .filter(l -> !l.channel().equals(BenchFile.PUMP))
                .toList();
        this.passedSinceSeconds = new double[limits.size()];
        Arrays.fill(passedSinceSeconds, Double.NaN);
        this.nextNanos = clock.nanos();
    }

    /** {@return the next reading, at the next second} */
    Readout next() throws LimitReached {
        clock.awaitNanos(nextNanos, () -> false);
        long began = clock.nanos();
        nextNanos = began + PERIOD_NANOS;
        Sweep sweep = bench.read(tick);
        clock.spend(sweep.busyNanos());
        tookMillis.add((clock.nanos() - began) / 1e6);
        events.addAll(sweep.events());
        Readout readout = new Readout(new Sample(tick, began / 1_000_000, 0, sweep.readings()), columns);
        tick++;
        for (int i = 0; i < limits.size(); i++) {
            watch(i, readout);
        }
        return readout;
    }

    private void watch(int index, Readout now) throws LimitReached {
        Limit limit = limits.get(index);
        if (!limit.passedBy(now.value(bench.file().indexOf(limit.channel())))) {
            passedSinceSeconds[index] = Double.NaN;
        } else if (Double.isNaN(passedSinceSeconds[index])) {
            passedSinceSeconds[index] = now.seconds();
        } else if (now.seconds() - passedSinceSeconds[index] >= limit.forSeconds()) {
            throw new LimitReached(limit.toString());
        }
    }

    /** Reads so many times; {@return the readings} */
    List<Readout> next(int count) throws LimitReached {
        List<Readout> readouts = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            readouts.add(next());
        }
        return readouts;
    }

    /**
     * Asks nothing at all for a while; the reading after it comes at once.
     *
     * @param seconds how long, s
     */
    void fallSilent(double seconds) {
        nextNanos = clock.nanos() + Math.round(seconds * 1e9);
        clock.awaitNanos(nextNanos, () -> false);
    }

    /** {@return how long each reading of the whole bench took so far, ms} */
    List<Double> tookMillis() {
        return List.copyOf(tookMillis);
    }

    /** {@return what happened to devices so far} */
    List<Sweep.DeviceEvent> events() {
        return List.copyOf(events);
    }
}
