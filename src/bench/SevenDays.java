import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Comparator;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.function.Supplier;
import java.util.stream.Stream;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Progress;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.SealingKey;

/**
 * Seven days of virtual time at ten ticks a second in one process, the record written to disk: is the heap flat, are the
 * file handles flat, are the ticks all there? About a gigabyte of record in the temporary folder, deleted afterwards.
 *
 * <pre>
 * mvn -q -DskipTests package
 * java -Xmx256m -cp target/plateau.jar src/bench/SevenDays.java          (or a number of days)
 * </pre>
 */
final class SevenDays {

    private static final String PLAN = """
            title: Seven days
            purpose: Does anything grow?
            sample-every: 0.1 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            heat: { workload: compile }
            measurements:
              - thermal:
                  cooldown: { each: block, duty: 60 %, until: { slope: 1 K/h, window: 10 min, for: 2 min }, within-baseline: 0.5 K, at-least: 5 min, at-most: 60 min }
                  soak:     { until: { slope: 1 K/h, window: 15 min, for: 2 min, remaining-rise: 0.2 K }, at-least: 60 min, at-most: 75 min }
                  dwell:    { average: 10 min }
                  steps: [{ speed: 700 rpm }, { speed: 1100 rpm }, { speed: 1900 rpm }]
                  repeats: 100
                  order: { kind: balanced, seed: 7 }
            limits:
              - { channel: coolant, above: 50 °C, for: 3 s }
            """;

    private static final long TICKS_A_DAY = 864_000;

    private SevenDays() {}

    /** Enough ticks. */
    private static final class Enough extends Error {
        private static final long serialVersionUID = 1L;
    }

    public static void main(String[] arguments) throws Exception {
        double days = arguments.length == 0 ? 7 : Double.parseDouble(arguments[0]);
        long wanted = Math.round(days * TICKS_A_DAY);
        String bench = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8)
                .replace("timeout: 300 ms", "timeout: 80 ms");
        NightFiles files = NightFiles.read(
                        text("seven-days.yaml", PLAN), NightFiles.simulatedFans(), text("bench.yaml", bench))
                .value()
                .orElseThrow();
        Path folder = Files.createTempDirectory("seven-days");
        try {
            run(files, folder, wanted);
        } finally {
            try (Stream<Path> paths = Files.walk(folder)) {
                for (Path path : paths.sorted(Comparator.reverseOrder()).toList()) {
                    Files.delete(path);
                }
            }
        }
    }

    private static void run(NightFiles files, Path folder, long wanted) throws Exception {
        var start = files.bench().simulation().orElseThrow().start();
        VirtualClock clock = VirtualClock.unpaced(start.toInstant());
        SimulatedBench simulated =
                SimulatedBench.create(files.bench(), files.fans().set(), 1, clock, Transport.IN_PROCESS);
        long[] ticks = {0, -1, 0};
        long begin = System.nanoTime();
        System.out.printf("%10s %14s %14s %14s%n", "day", "ticks", "heap, MiB", "file handles");
        NightListener listener = new NightListener() {
            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                ticks[2] += tick == ticks[1] + 1 ? 0 : 1;
                ticks[1] = tick;
                if (++ticks[0] % (TICKS_A_DAY / 2) == 0 || ticks[0] == 10_000) {
                    System.gc();
                    Runtime r = Runtime.getRuntime();
                    System.out.printf(
                            Locale.ROOT,
                            "%10.2f %14d %14.1f %14d%n",
                            ticks[0] / (double) TICKS_A_DAY,
                            ticks[0],
                            (r.totalMemory() - r.freeMemory()) / 1048576.0,
                            handles());
                }
                if (ticks[0] >= wanted) {
                    throw new Enough();
                }
            }
        };
        try {
            new NightRun(files, Optional.empty(), simulated, clock, Double.POSITIVE_INFINITY, h -> {}, e -> {})
                    .run(
                            new NightRun.Keeping(
                                    folder,
                                    SealingKey.generate(),
                                    "seven days",
                                    Map.of(),
                                    start.getOffset(),
                                    (record, simulation) -> {}),
                            listener);
            System.out.println("the night ended by itself");
        } catch (Enough e) {
            // As long as was wanted.
        }
        long rows = 0;
        Path samples;
        try (Stream<Path> all = Files.walk(folder)) {
            samples = all.filter(f -> f.endsWith("samples.csv")).findFirst().orElseThrow();
        }
        try (Stream<String> lines = Files.lines(samples)) {
            rows = lines.count() - 1;
        }
        System.out.printf(
                Locale.ROOT,
                "%d ticks, %d of them not after the one before, %d rows of %d MiB on disk, %.0f s of real time%n",
                ticks[0],
                ticks[2],
                rows,
                Files.size(samples) >> 20,
                (System.nanoTime() - begin) / 1e9);
    }

    private static long handles() {
        try (Stream<Path> open = Files.list(Path.of("/proc/self/fd"))) {
            return open.count();
        } catch (IOException e) {
            return -1;
        }
    }

    private static SourceText text(String name, String text) {
        return new SourceText(name, text.getBytes(StandardCharsets.UTF_8));
    }
}
