import com.sun.management.OperatingSystemMXBean;
import java.io.BufferedReader;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.function.BooleanSupplier;
import java.util.function.Supplier;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.engine.Input;
import org.plateaubench.engine.Progress;
import org.plateaubench.night.Night;
import org.plateaubench.night.NightListener;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.MemoryRecord;

/**
 * A night with ten serial devices at ten ticks a second, in real time: how late ticks are, and how much of a processor the
 * program takes. The devices answer in a process of their own, on pseudo-terminals. Budget: the 99th percentile of lateness
 * under 5 ms, under 3 % of a core.
 *
 * <pre>
 * mvn -q -DskipTests package
 * java -cp target/plateau.jar src/bench/serial/TenDevices.java 120
 * </pre>
 *
 * The number is how many seconds to measure, behind ten seconds in which the program becomes fast.
 */
final class TenDevices {

    private static final int DEVICES = 10;
    private static final double PERIOD_SECONDS = 0.1;
    private static final int WARM_UP_SECONDS = 10;
    private static final double LATENESS_BUDGET_MILLIS = 5.0;
    private static final double SHARE_BUDGET_PERCENT = 3.0;

    private TenDevices() {}

    public static void main(String[] arguments) throws Exception {
        if (arguments.length > 0 && arguments[0].equals("serve")) {
            serve();
            return;
        }
        int seconds = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 60;
        Process instruments = new ProcessBuilder(
                        ProcessHandle.current().info().command().orElse("java"),
                        "-cp",
                        System.getProperty("java.class.path"),
                        "src/bench/serial/TenDevices.java",
                        "serve")
                .redirectError(ProcessBuilder.Redirect.INHERIT)
                .start();
        try (BufferedReader out = instruments.inputReader(StandardCharsets.US_ASCII)) {
            List<String> ports = new ArrayList<>();
            for (int i = 0; i < DEVICES; i++) {
                ports.add(out.readLine());
            }
            measure(ports, seconds);
        } finally {
            instruments.destroy();
        }
        // Device threads are daemons, but the serial library's are not all.
        System.exit(0);
    }

    /** Ten instruments, until standard input ends. */
    private static void serve() throws Exception {
        for (int i = 0; i < DEVICES; i++) {
            int number = i;
            Pty pty = Pty.open();
            double[] duty = {100.0, 100.0, 0.0};
            pty.serve(request -> answer(number, duty, request));
            System.out.println(pty.path());
        }
        System.out.flush();
        while (System.in.read() >= 0) {
            // until the other process ends
        }
    }

    private static byte[] answer(int number, double[] set, String request) {
        List<String> answers = new ArrayList<>();
        for (String part : request.split(";:?")) {
            if (part.equals("*IDN?")) {
                answers.add("EXAMPLE,TEN," + number + ",1");
            } else if (part.equals("SYST:ERR?")) {
                answers.add("0,\"No error\"");
            } else if (part.startsWith("SOUR")) {
                int output = part.charAt(4) - '1';
                if (part.endsWith("?")) {
                    answers.add(String.format(Locale.ROOT, "%.2f", set[output]));
                } else {
                    set[output] = Double.parseDouble(part.substring(part.indexOf(' ') + 1));
                }
            } else if (part.startsWith("MEAS:FREQ")) {
                answers.add("90.000");
            } else {
                answers.add("22.125");
            }
        }
        return answers.isEmpty() ? new byte[0] : Pty.line(String.join(";", answers));
    }

    private static SourceText text(String name, String text) {
        return new SourceText(name, text.getBytes(StandardCharsets.UTF_8));
    }

    private static NightFiles files(List<String> ports) {
        StringBuilder devices = new StringBuilder();
        StringBuilder channels = new StringBuilder();
        for (int i = 0; i < ports.size(); i++) {
            devices.append("  d" + i + ": { port: \"" + ports.get(i) + "\", baud: 115200, dialect: scpi, identity: \"EXAMPLE,TEN,"
                    + i + ",1\", timeout: 80 ms }\n");
            for (int probe = 1; probe <= 3; probe++) {
                channels.append("  probe-" + i + "-" + probe + ": { device: d" + i + ", ask: \"MEAS:TEMP? (@" + probe
                        + ")\", unit: °C, valid: [5 °C, 80 °C] }\n");
            }
        }
        String bench = "bench: ten devices\ndevices:\n" + devices + "channels:\n"
                + "  ambient: { device: d0, ask: \"MEAS:TEMP? (@11)\", unit: °C }\n"
                + "  coolant: { device: d1, ask: \"MEAS:TEMP? (@12)\", unit: °C }\n"
                + "  fan-1: { device: d2, ask: \"MEAS:FREQ? (@1)\", tachometer: 2 per revolution }\n"
                + "  pump: { device: d3, ask: \"MEAS:FREQ? (@2)\", tachometer: 2 per revolution }\n" + channels
                + "groups: { fans: [fan-1] }\nactuators:\n"
                + "  fan-duty: { device: d0, set: \"SOUR1:DCYC {percent}\", readback: \"SOUR1:DCYC?\", safe: 100 % }\n"
                + "  pump-duty: { device: d1, set: \"SOUR2:DCYC {percent}\", readback: \"SOUR2:DCYC?\", safe: 100 % }\n"
                + "supply: { device: d4, set: \"SOUR3:POW {watt}\", readback: \"SOUR3:POW?\" }\n"
                + "limits:\n  - { channel: coolant, above: 55 °C, for: 3 s }\n";
        String plan =
                """
                title: Ten devices
                purpose: How late are ticks?
                sample-every: 100 ms
                pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
                heat: { power: 200 W }
                measurements:
                  - thermal:
                      cooldown: { each: block, duty: 60 %, until: { slope: 1 K/h, window: 10 min, for: 2 min }, within-baseline: 0.5 K, at-least: 5 min, at-most: 60 min }
                      soak:     { until: { slope: 1 K/h, window: 15 min, for: 2 min }, at-least: 10 min, at-most: 75 min }
                      dwell:    { average: 10 min }
                      steps:
                        - { speed: 1500 rpm }
                      repeats: 2
                      order: { kind: as-written }
                """;
        String fans =
                "set: T\nspecimens: [T-1]\ndescription: none\nsetting: none\nmount: { number: 1, side: push, screws: none }\n"
                        + "run-in: 24 h\n";
        var parsed = NightFiles.read(text("plan", plan), text("fans", fans), text("bench", bench));
        return parsed.value()
                .orElseThrow(() -> new IllegalStateException(parsed.problems().toString()));
    }

    /** The system's clock, which notes how late each wait ended. */
    private static final class NotingClock implements Clock {
        private final SystemClock real = new SystemClock();
        private final List<Long> lateNanos = new ArrayList<>();

        @Override
        public long nanos() {
            return real.nanos();
        }

        @Override
        public Instant wall() {
            return real.wall();
        }

        @Override
        public void awaitNanos(long offsetNanos, BooleanSupplier enough) {
            real.awaitNanos(offsetNanos, enough);
            lateNanos.add(real.nanos() - offsetNanos);
        }

        @Override
        public void spend(long nanos) {}

        @Override
        public boolean simulated() {
            return false;
        }
    }

    private static void measure(List<String> ports, int seconds) throws Exception {
        NightFiles files = files(ports);
        NotingClock clock = new NotingClock();
        OperatingSystemMXBean system = (OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();
        long warm = Math.round(WARM_UP_SECONDS / PERIOD_SECONDS);
        long last = warm + Math.round(seconds / PERIOD_SECONDS);
        long[] cpuNanos = new long[2];
        long[] wallNanos = new long[2];
        Night[] night = new Night[1];
        NightListener listener = new NightListener() {
            @Override
            public void tick(long tick, double offsetSeconds, Supplier<Progress> progress) {
                int which = tick <= warm ? 0 : 1;
                cpuNanos[which] = system.getProcessCpuTime();
                wallNanos[which] = clock.nanos();
                if (tick >= last) {
                    night[0].request(new Input.Operator("the benchmark"));
                }
            }
        };
        try (Bench bench = Benches.real(files.bench(), () -> Path.of("."), c -> {
            throw new IllegalStateException("no computer in this bench");
        })) {
            bench.open();
            night[0] = new Night(
                    files,
                    Optional.empty(),
                    bench,
                    clock,
                    ZoneOffset.UTC,
                    new MemoryRecord(files.toRecord()),
                    listener,
                    false);
            System.out.println(night[0].run().reason());
        }
        List<Long> late = clock.lateNanos.subList((int) warm, clock.lateNanos.size() - 1).stream()
                .sorted()
                .toList();
        double p50 = late.get(late.size() / 2) / 1e6;
        double p99 = late.get((int) (late.size() * 0.99)) / 1e6;
        double most = late.get(late.size() - 1) / 1e6;
        double share = 100.0 * (cpuNanos[1] - cpuNanos[0]) / (wallNanos[1] - wallNanos[0]);
        System.out.printf(
                Locale.ROOT,
                "%d devices, %d columns, %d ticks at 10 Hz: lateness median %.2f ms, p99 %.2f ms, most %.2f ms (budget p99 %.0f"
                        + " ms); %.2f %% of a core (budget %.0f %%)%n",
                DEVICES,
                files.bench().columns().size(),
                late.size(),
                p50,
                p99,
                most,
                LATENESS_BUDGET_MILLIS,
                share,
                SHARE_BUDGET_PERCENT);
    }
}
