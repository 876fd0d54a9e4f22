import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.plateaubench.equilibrium.SlopeRule;
import org.plateaubench.night.Rehearsal;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;

/**
 * The budgets of speed, measured and printed as a table: target, measured, and measured over target, so that 1 or less
 * keeps the budget. Nothing fails here; a busy machine makes every figure worse.
 *
 * <pre>
 * mvn -q -DskipTests package
 * java -cp target/plateau.jar src/bench/Budgets.java          (all; about ten minutes)
 * java -cp target/plateau.jar src/bench/Budgets.java help     (only those whose name holds this word)
 * </pre>
 *
 * Needs sha256sum, and cc for the round trips.
 */
final class Budgets {

    private static final Path PLAN = Path.of("protocols", "overnight-sweep.yaml");
    private static final double NIGHT_SECONDS = 8 * 3600.0;
    private static final int ROUNDS = 5;

    private final Path work;
    private final String only;
    private Path record;
    private double recordedSeconds;

    private Budgets(Path work, String only) {
        this.work = work;
        this.only = only;
    }

    public static void main(String[] arguments) throws Exception {
        Path work = Files.createTempDirectory("budgets");
        try {
            new Budgets(work, arguments.length == 0 ? "" : arguments[0]).run();
        } finally {
            delete(work);
        }
    }

    private void run() throws Exception {
        System.out.printf("%-58s %16s %16s %7s%n", "budget", "target", "measured", "ratio");
        help();
        night();
        retrace();
        audit();
        report();
        compare();
        rehearsals();
        slope();
        live();
        roundTrips();
    }

    private boolean wanted(String name) {
        return name.contains(only);
    }

    private static void row(String what, String target, String measured, double ratio) {
        System.out.printf(Locale.ROOT, "%-58s %16s %16s %7.2f%n", what, target, measured, ratio);
    }

    private static String seconds(double seconds) {
        return String.format(Locale.ROOT, "%.2f s", seconds);
    }

    // ---- whole processes

    private record Ran(double seconds, double cpuSeconds, String out) {}

    private Ran ran(List<String> command) throws IOException, InterruptedException {
        Path out = work.resolve("out.txt");
        ProcessBuilder builder = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(out.toFile());
        builder.environment().putAll(Map.of("PLATEAU_HOME", work.resolve("home").toString()));
        long begin = System.nanoTime();
        Process process = builder.start();
        double cpu = 0;
        while (!process.waitFor(20, java.util.concurrent.TimeUnit.MILLISECONDS)) {
            cpu = process.info().totalCpuDuration().map(d -> d.toMillis() / 1000.0).orElse(cpu);
        }
        return new Ran((System.nanoTime() - begin) / 1e9, cpu, Files.readString(out, StandardCharsets.UTF_8));
    }

    private Ran plateau(String... arguments) throws IOException, InterruptedException {
        List<String> command = new ArrayList<>(List.of("target/plateau"));
        command.addAll(List.of(arguments));
        return ran(command);
    }

    private void help() throws Exception {
        if (!wanted("help")) {
            return;
        }
        Path source = Files.writeString(
                work.resolve("Nothing.java"), "final class Nothing { public static void main(String[] a) {} }");
        ran(List.of("javac", "-d", work.toString(), source.toString()));
        double empty = Double.MAX_VALUE;
        double help = Double.MAX_VALUE;
        for (int round = 0; round < 2 * ROUNDS; round++) {
            empty = Math.min(empty, ran(List.of("java", "-cp", work.toString(), "Nothing")).seconds());
            help = Math.min(help, plateau("--help").seconds());
        }
        row("--help over an empty main", "4", String.format(Locale.ROOT, "%.2f", help / empty), help / empty / 4);
    }

    private void night() throws Exception {
        if (Stream.of("night", "retrace", "audit", "report").noneMatch(this::wanted)) {
            return;
        }
        double best = Double.MAX_VALUE;
        for (int round = 0; round < 2; round++) {
            Path records = work.resolve("records-" + round);
            Ran run = plateau("run", PLAN.toString(), "--records", records.toString());
            try (Stream<Path> folders = Files.list(records.resolve("simulated"))) {
                record = folders.filter(Files::isDirectory).findFirst().orElseThrow();
            }
            List<String> rows = Files.readAllLines(record.resolve("data/samples.csv"));
            recordedSeconds = rows.size() - 1.0;
            best = Math.min(best, run.seconds() * NIGHT_SECONDS / recordedSeconds);
        }
        row("a night of 8 h at 1 Hz over the pseudo-terminal, whole process", "10 s", seconds(best), best / 10);
    }

    private void retrace() throws Exception {
        if (!wanted("retrace")) {
            return;
        }
        double best = Double.MAX_VALUE;
        double cpu = Double.MAX_VALUE;
        for (int round = 0; round < 3; round++) {
            Ran ran = plateau("retrace", record.toString());
            best = Math.min(best, ran.seconds() * NIGHT_SECONDS / recordedSeconds);
            cpu = Math.min(cpu, ran.cpuSeconds() * NIGHT_SECONDS / recordedSeconds);
        }
        row("retrace of that record, whole process", "2 s", seconds(best), best / 2);
        row("its processor time, on all cores", "", seconds(cpu), cpu / 2);
    }

    /** Enough records that starting the program does not count. */
    private void audit() throws Exception {
        if (!wanted("audit")) {
            return;
        }
        Path many = Files.createDirectory(work.resolve("many"));
        for (int i = 0; i < 150; i++) {
            Path copy = many.resolve("record-" + i);
            try (Stream<Path> files = Files.walk(record)) {
                for (Path file : files.toList()) {
                    Files.copy(file, copy.resolve(record.relativize(file).toString()));
                }
            }
        }
        String sum = "find " + many + " -type f -print0 | xargs -0 sha256sum > /dev/null";
        double best = Double.MAX_VALUE;
        double sums = Double.MAX_VALUE;
        for (int round = 0; round < 3; round++) {
            sums = Math.min(sums, ran(List.of("sh", "-c", sum)).seconds());
            best = Math.min(best, plateau("audit", many.toString()).seconds());
        }
        row(
                "throughput of an audit over sha256sum's",
                "0.80 or more",
                String.format(Locale.ROOT, "%.2f", sums / best),
                0.8 * best / sums);
        delete(many);
    }

    private void report() throws Exception {
        if (!wanted("report")) {
            return;
        }
        Path page = work.resolve("report.html");
        double best = Double.MAX_VALUE;
        for (int round = 0; round < 3; round++) {
            best = Math.min(best, plateau("report", record.toString(), "--out", page.toString()).seconds());
        }
        row("report of that record, whole process", "2 s", seconds(best), best / 2);
        double kilobytes = Files.size(page) / 1e3;
        row("its size", "400 kB", String.format(Locale.ROOT, "%.0f kB", kilobytes), kilobytes / 400);
    }

    /** Fifty nights of six hours, half of them of another fan set. */
    private void compare() throws Exception {
        if (!wanted("compare")) {
            return;
        }
        Path records = work.resolve("fifty");
        for (int i = 0; i < 50; i++) {
            plateau(
                    "run",
                    "protocols/first-night.yaml",
                    "--fans",
                    "protocols/fans/" + (i % 2 == 0 ? "a" : "b") + ".yaml",
                    "--seed",
                    Integer.toString(i),
                    "--records",
                    records.toString());
        }
        List<String> command = new ArrayList<>(List.of("compare"));
        try (Stream<Path> folders = Files.list(records.resolve("simulated"))) {
            folders.filter(Files::isDirectory).map(Path::toString).sorted().forEach(command::add);
        }
        command.addAll(List.of("--html", work.resolve("comparison.html").toString()));
        double best = Double.MAX_VALUE;
        double cpu = Double.MAX_VALUE;
        for (int round = 0; round < 3; round++) {
            Ran ran = plateau(command.toArray(String[]::new));
            best = Math.min(best, ran.seconds());
            cpu = Math.min(cpu, ran.cpuSeconds());
        }
        row("compare of 50 nights, whole process", "3 s", seconds(best), best / 3);
        row("its processor time, on all cores", "", seconds(cpu), cpu / 3);
    }

    // ---- in this process

    private static SourceText text(String name, String text) {
        return new SourceText(name, text.getBytes(StandardCharsets.UTF_8));
    }

    private void rehearsals() throws Exception {
        if (!wanted("rehearsals")) {
            return;
        }
        String plan = Files.readString(Path.of("src", "test", "resources", "plans", "short-night.yaml"));
        NightFiles files = NightFiles.read(
                        text("short-night.yaml", plan), NightFiles.simulatedFans(), NightFiles.simulatedBench())
                .value()
                .orElseThrow();
        int nights = 100;
        rehearse(files, 20);
        long begin = System.nanoTime();
        rehearse(files, nights);
        double all = (System.nanoTime() - begin) / 1e9 * 2000 / nights;
        row("2000 rehearsed short nights on all cores", "300 s", seconds(all), all / 300);
    }

    private static void rehearse(NightFiles files, int nights) {
        IntStream.range(0, nights).parallel().forEach(seed -> {
            try {
                Rehearsal.of(
                        files,
                        seed,
                        files.bench().simulation().orElseThrow().start());
            } catch (IOException e) {
                throw new IllegalStateException(e);
            }
        });
    }

    /** A tick of the slope rule takes as long with a window of an hour as with one of a minute. */
    private void slope() {
        if (!wanted("slope")) {
            return;
        }
        double[] windows = {60, 900, 3600};
        for (double window : windows) {
            slopeNanos(window);
        }
        double shortest = slopeNanos(windows[0]);
        for (double window : windows) {
            double nanos = slopeNanos(window);
            row(
                    String.format(Locale.ROOT, "slope rule: a tick with a window of %.0f min", window / 60),
                    "2 x 1 min",
                    String.format(Locale.ROOT, "%.0f ns", nanos),
                    nanos / shortest / 2);
        }
    }

    private static double slopeNanos(double windowSeconds) {
        double best = Double.MAX_VALUE;
        for (int round = 0; round < ROUNDS; round++) {
            SlopeRule rule = new SlopeRule(
                    1.0,
                    windowSeconds,
                    60,
                    OptionalDouble.empty(),
                    OptionalDouble.of(1500),
                    0.01,
                    OptionalDouble.empty());
            int ticks = 200_000;
            int settled = 0;
            long begin = 0;
            for (int i = 0; i < 2 * ticks; i++) {
                if (i == ticks) {
                    begin = System.nanoTime();
                }
                rule.add(i * 0.1, 10 + 0.01 * Math.sin(i));
                settled += rule.verdict().settled() ? 1 : 0;
            }
            if (settled == 0) {
                throw new IllegalStateException("a still signal never settled");
            }
            best = Math.min(best, (System.nanoTime() - begin) / (double) ticks);
        }
        return best;
    }

    // ---- real time

    /** A minute at ten samples a second, in real time, over a pseudo-terminal. */
    private void live() throws Exception {
        if (!wanted("live")) {
            return;
        }
        String bench = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8)
                .replace("timeout: 300 ms", "timeout: 80 ms");
        String plan = Files.readString(Path.of("protocols", "quick-look.yaml"))
                .replaceFirst("sample-every: .*", "sample-every: 0.1 s")
                .replace("at-most: 2 min", "at-most: 61 min")
                .replace("slope: 60 K/h", "slope: 0.05 K/h");
        Path planFile = Files.writeString(work.resolve("live.yaml"), plan);
        Path benchFile = Files.writeString(work.resolve("live-bench.yaml"), bench);
        Path records = work.resolve("live");
        ProcessBuilder builder = new ProcessBuilder(
                        "target/plateau",
                        "run",
                        planFile.toString(),
                        "--bench",
                        benchFile.toString(),
                        "--fans",
                        "protocols/fans/a.yaml",
                        "--pace",
                        "1",
                        "--records",
                        records.toString())
                .redirectErrorStream(true)
                .redirectOutput(work.resolve("live.txt").toFile());
        builder.environment().putAll(Map.of("PLATEAU_HOME", work.resolve("home").toString()));
        Process process = builder.start();
        Thread.sleep(15_000);
        double cpuBefore = process.info().totalCpuDuration().orElseThrow().toNanos() / 1e9;
        Thread.sleep(60_000);
        double cpu = (process.info().totalCpuDuration().orElseThrow().toNanos() / 1e9 - cpuBefore) / 60;
        process.destroy();
        process.waitFor();
        Path samples;
        try (Stream<Path> files = Files.walk(records)) {
            samples = files.filter(f -> f.endsWith("samples.csv")).findFirst().orElseThrow();
        }
        List<String> rows = Files.readAllLines(samples);
        List<String> head = Arrays.asList(rows.get(0).split(","));
        int tick = head.indexOf("tick");
        int offset = IntStream.range(0, head.size())
                .filter(i -> head.get(i).startsWith("offset"))
                .findFirst()
                .orElseThrow();
        double[] late = rows.stream()
                .skip(150)
                .map(row -> row.split(",", -1))
                .mapToDouble(row -> Double.parseDouble(row[offset]) - 100 * Double.parseDouble(row[tick]))
                .sorted()
                .toArray();
        double p99 = late[(int) (late.length * 0.99)];
        row("live at 10 Hz: lateness, 99 of 100", "5 ms", String.format(Locale.ROOT, "%.0f ms", p99), p99 / 5);
        row(
                "live at 10 Hz: share of a core (bench and program)",
                "3 %",
                String.format(Locale.ROOT, "%.1f %%", 100 * cpu),
                cpu / 0.03);
    }

    private void roundTrips() throws Exception {
        if (!wanted("round trips")) {
            return;
        }
        Ran run = ran(List.of("java", "-cp", "target/plateau.jar", "src/bench/serial/RoundTrips.java"));
        Matcher times = Pattern.compile("C is ([0-9.]+) and ([0-9.]+) times").matcher(run.out());
        if (!times.find()) {
            System.out.println("round trips could not be measured: " + run.out());
            return;
        }
        double real = Double.parseDouble(times.group(1));
        row("round trips of a bare C client over ours", "2", String.format(Locale.ROOT, "%.2f", real), real / 2);
    }

    private static void delete(Path folder) throws IOException {
        try (Stream<Path> paths = Files.walk(folder)) {
            for (Path path : paths.sorted(Comparator.reverseOrder()).toList()) {
                Files.delete(path);
            }
        }
    }
}
