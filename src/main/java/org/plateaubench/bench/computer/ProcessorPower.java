package org.plateaubench.bench.computer;

import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.plateaubench.bench.BenchException;
import org.plateaubench.clock.Clock;
import org.plateaubench.sample.Quality;

/**
 * Mean power of the processor packages since the reading before, W, from the kernel's energy counters (its document
 * {@code power/powercap/powercap.rst}). A counter starts again at zero beyond its stated range, 22 minutes at 200 W on
 * some processors; so a reading after more than a minute has no value.
 */
final class ProcessorPower implements Gauge {

    private static final long LONGEST_NANOS = 60_000_000_000L;
    private static final long SHORTEST_NANOS = 20_000_000L;

    private final List<Counter> counters = new ArrayList<>();
    private final Clock clock;
    private long lastNanos;
    private long[] lastMicrojoules;

    /** One package's counter. */
    private record Counter(Path energy, long rangeMicrojoules) {}

    /**
     * The power of a computer.
     *
     * @param root root of the file system
     * @param clock the run's clock
     * @throws BenchException if there is no counter, or this user may not read it
     */
    ProcessorPower(Path root, Clock clock) throws BenchException {
        this.clock = clock;
        Path zones = root.resolve("sys/class/powercap");
        for (Path zone : packages(zones)) {
            Path energy = zone.resolve("energy_uj");
            try {
                KernelFiles.number(energy);
                counters.add(new Counter(energy, KernelFiles.number(zone.resolve("max_energy_range_uj"))));
            } catch (AccessDeniedException e) {
                throw new BenchException(
                        energy + " may be read by root only, as it is since Linux 5.10; let an administrator allow it"
                                + " with 'chmod a+r " + energy
                                + "' after each start of the computer, or take the channel out",
                        e);
            } catch (IOException | NumberFormatException e) {
                throw new BenchException(energy + " cannot be read: " + e.getMessage(), e);
            }
        }
        if (counters.isEmpty()) {
            throw new BenchException(
                    "this computer does not count its energy: found no zone named package under " + zones, null);
        }
        read();
    }

    /** Top zones by package; where two interfaces count one package, the registers' own is taken. */
    private static List<Path> packages(Path zones) {
        Map<String, Path> byName = new TreeMap<>();
        for (Path zone : KernelFiles.list(zones, "*:*")) {
            String name = KernelFiles.textOrEmpty(zone.resolve("name"));
            if (name.startsWith("package")
                    && (!byName.containsKey(name)
                            || !zone.getFileName().toString().contains("-mmio"))) {
                byName.put(name, zone);
            }
        }
        return List.copyOf(byName.values());
    }

    @Override
    public Indication read() {
        long[] microjoules = new long[counters.size()];
        long nowNanos = clock.nanos();
        long passedNanos = nowNanos - lastNanos;
        if (lastMicrojoules != null && passedNanos < SHORTEST_NANOS) {
            return Indication.none(Quality.MISSING);
        }
        try {
            for (int i = 0; i < microjoules.length; i++) {
                microjoules[i] = KernelFiles.number(counters.get(i).energy());
            }
        } catch (IOException e) {
            lastMicrojoules = null;
            return Indication.none(KernelFiles.why(e));
        } catch (NumberFormatException e) {
            lastMicrojoules = null;
            return Indication.none(Quality.GARBLED);
        }
        Indication indication = lastMicrojoules == null || passedNanos > LONGEST_NANOS
                ? Indication.none(Quality.MISSING)
                : Indication.of(used(microjoules) / (passedNanos / 1e3));
        lastMicrojoules = microjoules;
        lastNanos = nowNanos;
        return indication;
    }

    private double used(long[] microjoules) {
        long used = 0;
        for (int i = 0; i < microjoules.length; i++) {
            long step = microjoules[i] - lastMicrojoules[i];
            used += step >= 0 ? step : step + counters.get(i).rangeMicrojoules();
        }
        return used;
    }
}
