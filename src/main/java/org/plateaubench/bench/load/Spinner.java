package org.plateaubench.bench.load;

import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.util.ArrayList;
import java.util.List;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.units.Decimals;

/**
 * Keeps processors busy for a share of the time. Each thread compares the processor time that it was given with what it
 * should have had, spins while it is behind and rests while it is ahead, so that a share below 100 % is delivered also
 * beside other programs, as far as there is time left. Prints each second what was delivered in that second.
 */
public final class Spinner {

    private static final long REST_MILLIS = 1;
    private static final int SPINS_BETWEEN_LOOKS = 20_000;
    /** How far a thread may be behind before the rest is forgotten, so that one pause does not bring a burst. */
    private static final double MOST_BEHIND_NANOS = 100e6;

    private static volatile double sink;

    private Spinner() {}

    /**
     * Spins until it is ended.
     *
     * @param args number of threads; share of the time, per cent
     */
    public static void main(String[] args) {
        int threads = Integer.parseInt(args[0]);
        double share = Double.parseDouble(args[1]) / 100;
        ThreadMXBean times = ManagementFactory.getThreadMXBean();
        SystemClock clock = new SystemClock();
        List<Thread> spinning = new ArrayList<>();
        for (int i = 0; i < threads; i++) {
            Thread thread = new Thread(() -> spin(share, times, clock), "spin-" + i);
            thread.setDaemon(true);
            thread.start();
            spinning.add(thread);
        }
        long lastNanos = clock.nanos();
        long lastUsed = used(times, spinning);
        while (true) {
            Deadline.afterMillis(1_000).await();
            long nowNanos = clock.nanos();
            long nowUsed = used(times, spinning);
            double delivered = 100.0 * (nowUsed - lastUsed) / (nowNanos - lastNanos) / threads;
            System.out.println("delivered " + Decimals.fixed(delivered, 1) + " % of " + threads + " processors");
            lastNanos = nowNanos;
            lastUsed = nowUsed;
        }
    }

    private static long used(ThreadMXBean times, List<Thread> threads) {
        return threads.stream()
                .mapToLong(t -> Math.max(0, times.getThreadCpuTime(t.getId())))
                .sum();
    }

    private static void spin(double share, ThreadMXBean times, SystemClock clock) {
        double owedNanos = 0;
        long lastNanos = clock.nanos();
        long lastUsed = times.getCurrentThreadCpuTime();
        while (true) {
            long nowNanos = clock.nanos();
            long nowUsed = times.getCurrentThreadCpuTime();
            owedNanos += share * (nowNanos - lastNanos) - (nowUsed - lastUsed);
            owedNanos = Math.min(owedNanos, MOST_BEHIND_NANOS);
            lastNanos = nowNanos;
            lastUsed = nowUsed;
            if (owedNanos < 0) {
                Deadline.afterMillis(REST_MILLIS).await();
            } else {
                burn();
            }
        }
    }

    /** Floating-point work that cannot be optimised away. */
    private static void burn() {
        double x = sink;
        for (int i = 0; i < SPINS_BETWEEN_LOOKS; i++) {
            x = x * 0.999_999 + 1e-3;
        }
        sink = x;
    }
}
