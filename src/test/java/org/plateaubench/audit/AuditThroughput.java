package org.plateaubench.audit;

import com.sun.management.GarbageCollectionNotificationInfo;
import com.sun.management.OperatingSystemMXBean;
import java.io.IOException;
import java.lang.management.GarbageCollectorMXBean;
import java.lang.management.ManagementFactory;
import java.lang.management.MemoryPoolMXBean;
import java.lang.management.MemoryType;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.atomic.AtomicLong;
import java.util.stream.Stream;
import javax.management.Notification;
import javax.management.NotificationEmitter;
import javax.management.openmbean.CompositeData;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.record.ColumnHead;
import org.plateaubench.record.Nights;
import org.plateaubench.record.RecordHead;
import org.plateaubench.record.RecordWriter;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.sample.Sample;
import org.plateaubench.units.Unit;

/**
 * Benchmark: how fast a folder of night-long records is audited, beside sha256sum on the same bytes in the same run, and
 * the most that was alive on the heap after any of the collections meanwhile. Arguments: an empty folder, and how many
 * records to have in it, in rising order; each count is measured. A record is 4.1 MB. A small heap makes collections
 * frequent:
 *
 * <pre>
 * mvn -q test-compile dependency:build-classpath -Dmdep.outputFile=target/classpath
 * java -Xmx128m -cp target/classes:target/test-classes:$(cat target/classpath) \
 *     org.plateaubench.audit.AuditThroughput FOLDER 100 300 1000
 * </pre>
 */
final class AuditThroughput {

    private static final int ROWS = 28_800;
    private static final int CHANNELS = 12;
    private static final int ROUNDS = 3;
    private static final AtomicLong ALIVE = new AtomicLong();

    private AuditThroughput() {}

    public static void main(String[] arguments) throws Exception {
        Path records = Path.of(arguments[0]);
        for (GarbageCollectorMXBean collector : ManagementFactory.getGarbageCollectorMXBeans()) {
            ((NotificationEmitter) collector).addNotificationListener((n, x) -> collected(n), null, null);
        }
        int made = 0;
        for (int i = 1; i < arguments.length; i++) {
            int count = Integer.parseInt(arguments[i]);
            for (; made < count; made++) {
                night(records, String.format(Locale.ROOT, "night-%04d", made));
            }
            measure(records, count);
        }
    }

    /** Notes what was alive after a collection. */
    private static void collected(Notification notification) {
        long bytes = 0;
        var after = GarbageCollectionNotificationInfo.from((CompositeData) notification.getUserData())
                .getGcInfo()
                .getMemoryUsageAfterGc();
        for (MemoryPoolMXBean pool : ManagementFactory.getMemoryPoolMXBeans()) {
            bytes += pool.getType() == MemoryType.HEAP
                    ? after.get(pool.getName()).getUsed()
                    : 0;
        }
        ALIVE.accumulateAndGet(bytes, Math::max);
    }

    private static void measure(Path records, int count) throws IOException, InterruptedException {
        long bytes = 0;
        List<String> files = new ArrayList<>();
        try (Stream<Path> paths = Files.walk(records)) {
            for (Path path : paths.filter(Files::isRegularFile).sorted().toList()) {
                bytes += Files.size(path);
                files.add(path.toString());
            }
        }
        System.out.printf(Locale.ROOT, "%d records, %d files, %.1f MB%n", count, files.size(), bytes / 1e6);
        Path list = Files.write(records.resolveSibling("list.txt"), files);
        files.clear();
        AuditOptions options = AuditOptions.of(Nights.trusting(Map.of("technician", Nights.TECHNICIAN)));
        SystemClock clock = new SystemClock();
        for (int round = 0; round < ROUNDS; round++) {
            long start = clock.nanos();
            double sumCpu = sha256sum(list);
            double sumSeconds = (clock.nanos() - start) / 1e9;
            OperatingSystemMXBean system = ManagementFactory.getPlatformMXBean(OperatingSystemMXBean.class);
            long startCpu = system.getProcessCpuTime();
            System.gc();
            ALIVE.set(0);
            start = clock.nanos();
            AuditReport report = Audit.audit(records, options);
            double auditSeconds = (clock.nanos() - start) / 1e9;
            double auditCpu = (system.getProcessCpuTime() - startCpu) / 1e9;
            System.out.printf(
                    Locale.ROOT,
                    "sha256sum %.2f s (%.2f s of processor); audit %.2f s (%.2f s of processor), %s; "
                            + "ratio %.2f (%.2f for a processor); alive at most %.1f MB%n",
                    sumSeconds,
                    sumCpu,
                    auditSeconds,
                    auditCpu,
                    report.fails() ? "fails" : "holds",
                    sumSeconds / auditSeconds,
                    sumCpu / auditCpu,
                    ALIVE.get() / 1e6);
        }
        Files.delete(list);
    }

    /** Runs it over a list of files; returns the processor time that it took, in seconds. */
    private static double sha256sum(Path list) throws IOException, InterruptedException {
        Process process = new ProcessBuilder(
                        "sh", "-c", "tr '\\n' '\\0' < " + list + " | xargs -0 sha256sum > /dev/null; times")
                .start();
        String children = new String(process.getInputStream().readAllBytes(), StandardCharsets.US_ASCII)
                .lines()
                .skip(1)
                .findFirst()
                .orElseThrow();
        process.waitFor();
        double seconds = 0;
        for (String time : children.split(" ")) {
            String[] parts = time.split("[ms]");
            seconds += 60 * Double.parseDouble(parts[0]) + Double.parseDouble(parts[1]);
        }
        return seconds;
    }

    private static void night(Path records, String name) throws IOException {
        List<ColumnHead> columns = new ArrayList<>();
        for (int i = 0; i < CHANNELS; i++) {
            columns.add(new ColumnHead("channel-" + i, Unit.CELSIUS));
        }
        RecordHead small = Nights.head(name);
        RecordHead head = new RecordHead(
                name, small.utc(), small.agent(), true, small.files(), columns, small.stages(), small.header());
        try (RecordWriter writer = RecordWriter.open(records, head, Nights.TECHNICIAN)) {
            for (int tick = 0; tick < ROWS; tick++) {
                List<Reading> readings = new ArrayList<>();
                for (int i = 0; i < CHANNELS; i++) {
                    readings.add(Reading.of(20 + i + tick % 1000 / 1000.0, Unit.CELSIUS, Quality.GOOD));
                }
                writer.sample(new Sample(tick, tick * 1000L, 0, readings), small.utc(), "soak", "900-rpm.1");
                if (tick % 100 == 0) {
                    Map<String, Object> fields = new LinkedHashMap<>();
                    fields.put("event", "command");
                    fields.put("tick", tick);
                    fields.put("duty_percent", new BigDecimal("42.50"));
                    writer.journal(fields);
                }
                if (tick % 600 == 599) {
                    writer.checkpoint(small.utc());
                }
            }
            writer.seal(Nights.SEALED, Nights.OUTCOME);
        }
    }
}
