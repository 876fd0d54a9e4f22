package org.plateaubench.bench.computer;

import java.io.IOException;
import java.nio.file.Path;
import org.plateaubench.bench.BenchException;
import org.plateaubench.sample.Quality;

/**
 * Share of the processors' time that was delivered to work of any kind since the reading before, per cent of all logical
 * processors. Time that a virtual machine's host took away counts as not delivered.
 */
final class ProcessorShare implements Gauge {

    /** Columns of the line "cpu" in /proc/stat: user, nice, system, idle, iowait, irq, softirq, steal. */
    private static final int IDLE = 3;

    private static final int IOWAIT = 4;
    private static final int STEAL = 7;

    private final Path statistics;
    private Times last;

    /** Ticks of the kernel's clock since boot. */
    private record Times(long busy, long all) {}

    /**
     * The share of a computer.
     *
     * @param root root of the file system
     * @throws BenchException if the kernel does not count it
     */
    ProcessorShare(Path root) throws BenchException {
        statistics = root.resolve("proc/stat");
        try {
            last = times();
        } catch (IOException | NumberFormatException e) {
            throw new BenchException("this computer does not count its processor time in " + statistics, e);
        }
    }

    private Times times() throws IOException {
        String line = KernelFiles.text(statistics).split("\n", 2)[0];
        String[] fields = line.split(" +");
        if (!fields[0].equals("cpu") || fields.length <= STEAL + 1) {
            throw new IOException("found '" + line + "', needed 'cpu' and eight times");
        }
        long busy = 0;
        long all = 0;
        for (int i = 0; i <= STEAL; i++) {
            long ticks = Long.parseLong(fields[i + 1]);
            all += ticks;
            if (i != IDLE && i != IOWAIT && i != STEAL) {
                busy += ticks;
            }
        }
        return new Times(busy, all);
    }

    @Override
    public Indication read() {
        Times now;
        try {
            now = times();
        } catch (IOException e) {
            return Indication.none(KernelFiles.why(e));
        } catch (NumberFormatException e) {
            return Indication.none(Quality.GARBLED);
        }
        if (now.all() <= last.all()) {
            return Indication.none(Quality.MISSING);
        }
        double share = 100.0 * (now.busy() - last.busy()) / (now.all() - last.all());
        last = now;
        return Indication.of(Math.min(100, Math.max(0, share)));
    }
}
