import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.stream.Stream;

/**
 * Whether every Java decides the same: each plan in protocols/ runs once on the simulated bench under the first Java, the
 * noise-matched night also with fan set B at the levels of set A; then each Java retraces each record, compiled and
 * interpreted (-Xint). Prints a table; exit code 1 if a decision differs.
 *
 * <pre>
 * mvn -q -DskipTests package
 * java src/bench/Retraces.java JAVA_HOME [JAVA_HOME ...]
 * </pre>
 */
final class Retraces {

    private static final Path JAR = Path.of("target", "plateau.jar").toAbsolutePath();
    private static final String FORMAT = "%-28s %8s %8s  %-16s %-10s %8s%n";

    /** A demo night: its plan, and what else is said when it is run. */
    private record Demo(String name, List<String> arguments) {}

    private record Answer(int exit, String text, double seconds) {}

    private final Path work;

    private Retraces(Path work) {
        this.work = work;
    }

    public static void main(String[] homes) throws Exception {
        if (homes.length == 0) {
            System.err.println("usage: java src/bench/Retraces.java JAVA_HOME [JAVA_HOME ...]");
            System.exit(2);
        }
        Path work = Files.createTempDirectory("retraces");
        int different;
        try {
            different = new Retraces(work).go(Stream.of(homes).map(Path::of).toList());
        } finally {
            try (Stream<Path> paths = Files.walk(work)) {
                for (Path path : paths.sorted(Comparator.reverseOrder()).toList()) {
                    Files.delete(path);
                }
            }
        }
        System.out.println(different == 0 ? "identical everywhere" : different + " retraces differ");
        System.exit(different == 0 ? 0 : 1);
    }

    private int go(List<Path> homes) throws IOException, InterruptedException {
        List<Path> plans;
        try (Stream<Path> files = Files.list(Path.of("protocols"))) {
            plans = files.filter(f -> f.toString().endsWith(".yaml")).sorted().toList();
        }
        System.out.println("nights run under Java " + version(homes.get(0)));
        System.out.printf(FORMAT, "night", "rows", "journal", "retraced under", "", "s");
        int different = 0;
        for (Path plan : plans) {
            Path record = run(homes.get(0), new Demo(plan.getFileName().toString(), List.of(plan.toString())));
            different += retrace(plan.getFileName().toString(), record, homes);
            if (plan.endsWith("noise-matched-night.yaml")) {
                Demo other = new Demo(
                        plan.getFileName() + ", B",
                        List.of(
                                plan.toString(),
                                "--fans",
                                Path.of("protocols", "fans", "b.yaml").toString(),
                                "--levels-from",
                                record.toString()));
                different += retrace(other.name(), run(homes.get(0), other), homes);
            }
        }
        return different;
    }

    private Path run(Path home, Demo demo) throws IOException, InterruptedException {
        Path records = Files.createTempDirectory(work, "records");
        List<String> command = new ArrayList<>(List.of("run", "--records", records.toString()));
        command.addAll(demo.arguments());
        Answer answer = plateau(home, List.of(), command);
        if (answer.exit() != 0) {
            throw new IOException(demo.name() + " ended with " + answer.exit() + ":\n" + answer.text());
        }
        try (Stream<Path> files = Files.walk(records)) {
            return files.filter(f -> f.endsWith("bag-info.txt")).findFirst().orElseThrow().getParent();
        }
    }

    private int retrace(String name, Path record, List<Path> homes) throws IOException, InterruptedException {
        long rows;
        long journal;
        try (Stream<String> samples = Files.lines(record.resolve("data/samples.csv"));
                Stream<String> lines = Files.lines(record.resolve("data/journal.jsonl"))) {
            rows = samples.count() - 1;
            journal = lines.count();
        }
        int different = 0;
        for (Path home : homes) {
            for (List<String> options : List.of(List.<String>of(), List.of("-Xint"))) {
                Answer answer = plateau(home, options, List.of("retrace", record.toString()));
                boolean identical = answer.exit() == 0 && answer.text().startsWith("identical");
                System.out.printf(
                        FORMAT,
                        name,
                        rows,
                        journal,
                        version(home) + (options.isEmpty() ? "" : " -Xint"),
                        identical ? "identical" : "DIFFERS",
                        String.format(Locale.ROOT, "%.1f", answer.seconds()));
                if (!identical) {
                    System.out.println(answer.text());
                    different++;
                }
            }
        }
        return different;
    }

    private Answer plateau(Path home, List<String> options, List<String> arguments)
            throws IOException, InterruptedException {
        List<String> command = new ArrayList<>(List.of(home.resolve("bin/java").toString()));
        command.addAll(options);
        command.addAll(List.of("-jar", JAR.toString()));
        command.addAll(arguments);
        ProcessBuilder builder = new ProcessBuilder(command).redirectErrorStream(true);
        builder.environment().put("PLATEAU_HOME", work.resolve("home").toString());
        long begin = System.nanoTime();
        Process process = builder.start();
        process.getOutputStream().close();
        String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        return new Answer(process.waitFor(), text, (System.nanoTime() - begin) / 1e9);
    }

    /** What a Java calls itself, from the file that every JDK since 9 has. */
    private static String version(Path home) throws IOException {
        try (Stream<String> lines = Files.lines(home.resolve("release"))) {
            return lines.filter(line -> line.startsWith("JAVA_VERSION="))
                    .map(line -> line.substring("JAVA_VERSION=".length()).replace("\"", ""))
                    .findFirst()
                    .orElseThrow();
        }
    }
}
