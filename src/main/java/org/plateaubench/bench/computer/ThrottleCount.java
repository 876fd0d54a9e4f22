package org.plateaubench.bench.computer;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import org.plateaubench.bench.BenchException;
import org.plateaubench.sample.Quality;

/**
 * How often the processors were slowed down because they were too hot: the sum of the kernel's counters of cores and
 * packages over all logical processors. One event may count several times; what matters is that the sum stays the same.
 */
final class ThrottleCount implements Gauge {

    private static final List<String> COUNTERS = List.of("core_throttle_count", "package_throttle_count");

    private final Path processors;

    /**
     * The counters of a computer.
     *
     * @param root root of the file system
     * @throws BenchException if it has none
     */
    ThrottleCount(Path root) throws BenchException {
        processors = root.resolve("sys/devices/system/cpu");
        if (read().quality() != Quality.GOOD) {
            throw new BenchException(
                    "this computer does not count throttling: found no counter under " + processors
                            + "/cpu*/thermal_throttle; watch the processor's clock and temperature instead",
                    null);
        }
    }

    @Override
    public Indication read() {
        long sum = 0;
        boolean any = false;
        for (Path processor : KernelFiles.list(processors, "cpu[0-9]*")) {
            for (String counter : COUNTERS) {
                try {
                    sum += KernelFiles.number(
                            processor.resolve("thermal_throttle").resolve(counter));
                    any = true;
                } catch (IOException | NumberFormatException e) {
                    // Not every processor counts both.
                    continue;
                }
            }
        }
        return any ? Indication.of(sum) : Indication.none(Quality.MISSING);
    }
}
