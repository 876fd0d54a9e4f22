package org.plateaubench.audit;

import com.sun.management.OperatingSystemMXBean;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.stream.Stream;
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
 * Benchmark: how fast a folder of night-long records is audited, beside sha256sum on the same bytes in the same run.
 * Arguments: an empty folder, and how many records to make in it.
 */
final class AuditThroughput {

    private static final int ROWS = 28_800;
    private static final int CHANNELS = 12;
    private static final int ROUNDS = 5;

    private AuditThroughput() {}

    public static void main(String[] arguments) throws Exception {
        Path records = Path.of(arguments[0]);
        int count = Integer.parseInt(arguments[1]);
        for (int i = 0; i < count; i++) {
            night(records, String.format(Locale.ROOT, "night-%04d", i));
        }
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
        AuditOptions options = AuditOptions.of(Nights.trusting(Map.of("technician", Nights.TECHNICIAN)));
        SystemClock clock = new SystemClock();
        for (int round = 0; round < ROUNDS; round++) {
            long start = clock.nanos();
            double sumCpu = sha256sum(list);
            double sumSeconds = (clock.nanos() - start) / 1e9;
            OperatingSystemMXBean system = ManagementFactory.getPlatformMXBean(OperatingSystemMXBean.class);
            long startCpu = system.getProcessCpuTime();
            start = clock.nanos();
            AuditReport report = Audit.audit(records, options);
            double auditSeconds = (clock.nanos() - start) / 1e9;
            double auditCpu = (system.getProcessCpuTime() - startCpu) / 1e9;
            Runtime runtime = Runtime.getRuntime();
            System.out.printf(
                    Locale.ROOT,
                    "sha256sum %.2f s (%.2f s of processor); audit %.2f s (%.2f s of processor), %s; "
                            + "ratio %.2f (%.2f for a processor); heap %d MB%n",
                    sumSeconds,
                    sumCpu,
                    auditSeconds,
                    auditCpu,
                    report.fails() ? "fails" : "holds",
                    sumSeconds / auditSeconds,
                    sumCpu / auditCpu,
                    (runtime.totalMemory() - runtime.freeMemory()) >> 20);
        }
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
