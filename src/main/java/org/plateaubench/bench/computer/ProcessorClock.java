package org.plateaubench.bench.computer;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.plateaubench.bench.BenchException;
import org.plateaubench.sample.Quality;

/** Mean clock frequency of all logical processors, MHz: of those that are on, as the kernel states it just now. */
final class ProcessorClock implements Gauge {

    private static final String LINE = "cpu MHz";

    private final Path processors;
    private final Path description;

    /**
     * The clock of a computer.
     *
     * @param root root of the file system
     * @throws BenchException if the kernel does not state it
     */
    ProcessorClock(Path root) throws BenchException {
        processors = root.resolve("sys/devices/system/cpu");
        description = root.resolve("proc/cpuinfo");
        if (read().quality() != Quality.GOOD) {
            throw new BenchException(
                    "this computer does not state its clock: found neither scaling_cur_freq under " + processors
                            + "/cpu*/cpufreq nor '" + LINE + "' in " + description,
                    null);
        }
    }

    @Override
    public Indication read() {
        List<Double> megahertz = scaling();
        if (megahertz.isEmpty()) {
            megahertz = described();
        }
        double sum = megahertz.stream().mapToDouble(m -> m).sum();
        return sum > 0 ? Indication.of(sum / megahertz.size()) : Indication.none(Quality.MISSING);
    }

    private List<Double> scaling() {
        List<Double> megahertz = new ArrayList<>();
        for (Path processor : KernelFiles.list(processors, "cpu[0-9]*")) {
            try {
                megahertz.add(KernelFiles.number(processor.resolve("cpufreq/scaling_cur_freq")) / 1e3);
            } catch (IOException | NumberFormatException e) {
                // One that is off states nothing, or "<unknown>".
                continue;
            }
        }
        return megahertz;
    }

    private List<Double> described() {
        List<Double> megahertz = new ArrayList<>();
        for (String line : KernelFiles.textOrEmpty(description).split("\n")) {
            int colon = line.indexOf(':');
            if (colon > 0 && line.startsWith(LINE)) {
                try {
                    megahertz.add(Double.parseDouble(line.substring(colon + 1).strip()));
                } catch (NumberFormatException e) {
                    return List.of();
                }
            }
        }
        return megahertz;
    }
}
