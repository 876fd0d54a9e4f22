package org.plateaubench.cli;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.TreeMap;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.stream.Stream;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.night.Retrace;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Json;
import org.plateaubench.record.KeyHome;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.TrustFile;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.StepResult;

/**
 * Ends the packaged program with SIGKILL at random moments of a paced night, lets the night go on, and looks at what is
 * left: was a sealed or checkpointed byte lost, how much came after the last checkpoint, did the night end, do its
 * results agree with those of a night that was left alone.
 *
 * <p>A sixth of the moments lie in the program's start, a fifth after the end of the night, while it works out results,
 * seals and signs; the others are spread evenly over the night. {@link KillIT} runs it.
 */
final class KillCampaign {

    private static final int PATIENCE_SECONDS = 300;

    private final Path folder;
    private final long seed;
    private final Path plan;
    private final int pace;
    private final TrustFile trust;

    private double openSeconds;
    private double endSeconds;
    private double sealSeconds;
    private NightResults alone;

    KillCampaign(Path folder, long seed, Path plan, int pace) throws IOException {
        this.folder = folder.toAbsolutePath();
        this.seed = seed;
        this.plan = plan;
        this.pace = pace;
        KeyHome home = new KeyHome(folder.resolve("plateau-home"));
        try {
            home.keyForRun("campaign", () -> new char[0]);
        } catch (java.security.InvalidKeyException e) {
            throw new IOException(e);
        }
        this.trust = home.trust();
    }

    /** When the program is ended. */
    private enum When {
        STARTING,
        RUNNING,
        ENDING
    }

    /**
     * What came of one moment.
     *
     * @param state what the night was doing, as its record says
     * @param begun whether there was a record
     * @param lostSeconds time of the night that was recorded behind the last checkpoint, s
     * @param tornBytes bytes behind it
     * @param faults what should not be
     * @param outside steps whose result does not agree with that of the night that was left alone
     * @param compared steps that were compared
     */
    record Outcome(
            String state,
            boolean begun,
            double lostSeconds,
            long tornBytes,
            List<String> faults,
            int outside,
            int compared) {}

    /** Runs a night that is left alone, then as many that are not. */
    List<Outcome> run(int moments, int threads) throws Exception {
        System.out.printf(
                Locale.ROOT, "%d moments of %s at pace %d, seed %d%n", moments, plan.getFileName(), pace, seed);
        leftAlone();
        System.out.printf(
                Locale.ROOT,
                "left alone: record there after %.1f s, ended after %.1f s, sealed %.1f s later%n",
                openSeconds,
                endSeconds,
                sealSeconds);
        ExecutorService pool = Executors.newFixedThreadPool(threads);
        try {
            List<Future<Outcome>> all = new ArrayList<>();
            for (int i = 0; i < moments; i++) {
                int number = i;
                all.add(pool.submit(() -> moment(number)));
            }
            List<Outcome> outcomes = new ArrayList<>();
            for (Future<Outcome> each : all) {
                Outcome outcome = each.get();
                outcomes.add(outcome);
                outcome.faults().forEach(f -> System.out.println("moment " + (outcomes.size() - 1) + ": " + f));
                if (outcomes.size() % 25 == 0) {
                    System.out.println(outcomes.size() + " of " + moments);
                }
            }
            return outcomes;
        } finally {
            pool.shutdownNow();
        }
    }

    private Program start(Path records, String... args) throws IOException {
        List<String> all = new ArrayList<>(List.of(args));
        if (args[0].equals("run")) {
            all.addAll(List.of(plan.toString(), "--records", records.toString(), "--pace", Integer.toString(pace)));
        }
        return Program.start(folder, all.toArray(String[]::new));
    }

    private void leftAlone() throws Exception {
        SystemClock clock = new SystemClock();
        Path records = folder.resolve("alone");
        try (Program run = start(records, "run")) {
            run.await("stage pump-lock", PATIENCE_SECONDS);
            openSeconds = clock.nanos() / 1e9;
            run.await("made safe: heat", PATIENCE_SECONDS);
            endSeconds = clock.nanos() / 1e9;
            int code = run.exitWithin(PATIENCE_SECONDS);
            sealSeconds = clock.nanos() / 1e9 - endSeconds;
            if (code != 0) {
                throw new IllegalStateException(String.join("\n", run.output()));
            }
        }
        alone = results(Program.record(records));
    }

    private static NightResults results(Path record) throws IOException {
        RecordFolder read = RecordFolder.open(record);
        return NightResults.of(RetraceCommand.files(read), read);
    }

    private Outcome moment(int number) throws Exception {
        Random random = new Random(seed * 1_000_003 + number);
        double share = random.nextDouble();
        When when = share < 1 / 6.0 ? When.STARTING : share < 0.8 ? When.RUNNING : When.ENDING;
        Path records = folder.resolve("moment-" + number);
        try (Program run = start(records, "run")) {
            double seconds = switch (when) {
                case STARTING -> random.nextDouble() * (openSeconds + 0.5);
                case RUNNING -> random.nextDouble() * (endSeconds - openSeconds);
                case ENDING -> random.nextDouble() * sealSeconds;
            };
            if (when != When.STARTING) {
                run.await(when == When.RUNNING ? "stage pump-lock" : "made safe: heat", PATIENCE_SECONDS);
            }
            Deadline.afterMillis(Math.round(seconds * 1000)).await();
            run.signal("KILL");
            run.exitWithin(60);
        }
        Optional<Path> record = recordIn(records.resolve("simulated"));
        if (record.isEmpty()) {
            return new Outcome("before there is a record", false, 0, 0, List.of(), 0, 0);
        }
        Before before = new Before(record.get());
        List<String> faults = new ArrayList<>();
        try (Program resume = start(records, "resume", record.get().toString())) {
            int code = resume.exitWithin(PATIENCE_SECONDS);
            if (code != 0) {
                faults.add("resume ended with " + code + ": " + String.join("\n", resume.output()));
            }
        }
        before.lookAgain(faults);
        if (faults.isEmpty()) {
            judge(record.get(), faults);
        }
        int outside = 0;
        int compared = 0;
        if (faults.isEmpty()) {
            NightResults resumed = results(record.get());
            for (int i = 0; i < alone.steps().size(); i++) {
                StepResult one = alone.steps().get(i);
                StepResult other = resumed.steps().get(i);
                double interval = StrictMath.hypot(one.expandedKelvin(), other.expandedKelvin());
                if (Double.isFinite(interval)) {
                    compared++;
                    outside += StrictMath.abs(one.coolantRiseKelvin() - other.coolantRiseKelvin()) > interval ? 1 : 0;
                }
                if (other.passes() != one.passes()) {
                    faults.add(other.step() + " has " + other.passes() + " passes instead of " + one.passes());
                }
            }
            deleteAll(records);
        }
        return new Outcome(before.state, true, before.lostSeconds, before.tornBytes(), faults, outside, compared);
    }

    private static Optional<Path> recordIn(Path simulated) throws IOException {
        if (!Files.isDirectory(simulated)) {
            return Optional.empty();
        }
        try (Stream<Path> found = Files.list(simulated)) {
            return found.filter(p -> Files.isDirectory(p)
                            && !RecordFolder.unfinished(p.getFileName().toString()))
                    .findFirst();
        }
    }

    private static void deleteAll(Path root) throws IOException {
        try (Stream<Path> paths = Files.walk(root)) {
            for (Path path : paths.sorted(java.util.Comparator.reverseOrder()).toList()) {
                Files.delete(path);
            }
        }
    }

    private void judge(Path record, List<String> faults) throws Exception {
        AuditReport report = Audit.audit(record.getParent(), AuditOptions.of(trust));
        if (report.fails()) {
            faults.add("the audit fails: " + report.text());
        }
        RecordFolder read = RecordFolder.open(record);
        if (!read.sealed()) {
            faults.add("it is not sealed");
        }
        NightFiles files = RetraceCommand.files(read);
        Retrace.of(files, read).ifPresent(difference -> faults.add("retrace: " + difference));
    }

    /** A record as the end of the program has left it. */
    private static final class Before {

        private static final List<String> GROWING =
                List.of("data/samples.csv", "data/journal.jsonl", "data/checkpoints.jsonl");

        private final Path record;
        private final boolean sealed;
        private final Map<String, byte[]> kept = new LinkedHashMap<>();
        private final Map<String, byte[]> torn = new LinkedHashMap<>();
        private final String state;
        private double lostSeconds;

        Before(Path record) throws Exception {
            this.record = record;
            this.sealed = RecordFolder.open(record).sealed();
            byte[] checkpoints = Files.readAllBytes(record.resolve("data/checkpoints.jsonl"));
            int whole = new String(checkpoints, StandardCharsets.ISO_8859_1).lastIndexOf('\n') + 1;
            String[] lines = new String(checkpoints, 0, whole, StandardCharsets.UTF_8).split("\n");
            Map<String, Object> last = Json.read(lines[lines.length - 1].getBytes(StandardCharsets.UTF_8));
            long[] extents = {
                ((Number) last.get("samples_bytes")).longValue(),
                ((Number) last.get("journal_bytes")).longValue(),
                whole
            };
            for (int i = 0; i < GROWING.size(); i++) {
                byte[] bytes = Files.readAllBytes(record.resolve(GROWING.get(i)));
                kept.put(GROWING.get(i), Arrays.copyOf(bytes, (int) extents[i]));
                torn.put(GROWING.get(i), Arrays.copyOfRange(bytes, (int) extents[i], bytes.length));
            }
            if (sealed) {
                try (Stream<Path> files = Files.walk(record)) {
                    for (Path file : files.filter(Files::isRegularFile).toList()) {
                        kept.put(record.relativize(file).toString(), Files.readAllBytes(file));
                    }
                }
            }
            state = state();
            lostSeconds = Math.max(0, offset(kept, torn) - offset(kept, Map.of()));
        }

        private static double offset(Map<String, byte[]> kept, Map<String, byte[]> torn) {
            String text = new String(kept.get(GROWING.get(0)), StandardCharsets.US_ASCII)
                    + new String(torn.getOrDefault(GROWING.get(0), new byte[0]), StandardCharsets.US_ASCII);
            String[] rows = text.substring(0, text.lastIndexOf('\n') + 1).split("\n");
            return rows.length < 2 ? 0 : Long.parseLong(rows[rows.length - 1].split(",")[1]) / 1000.0;
        }

        private String state() {
            if (sealed) {
                return "7 sealed";
            }
            if (Files.exists(record.resolve("manifest-sha256.txt"))) {
                return "6 sealing";
            }
            String journal = new String(kept.get(GROWING.get(1)), StandardCharsets.UTF_8);
            if (journal.contains("\"decision\":\"end\"")) {
                return "5 ended, results not written or not sealed";
            }
            String rows = new String(kept.get(GROWING.get(0)), StandardCharsets.US_ASCII)
                    + new String(torn.get(GROWING.get(0)), StandardCharsets.US_ASCII);
            String[] last = rows.substring(0, rows.lastIndexOf('\n') + 1).split("\n");
            return last.length < 2 ? "0 opened" : "1 " + last[last.length - 1].split(",")[4];
        }

        long tornBytes() {
            return torn.values().stream().mapToLong(b -> b.length).sum();
        }

        void lookAgain(List<String> faults) throws IOException {
            for (Map.Entry<String, byte[]> file : kept.entrySet()) {
                byte[] now = Files.readAllBytes(record.resolve(file.getKey()));
                boolean same = now.length >= file.getValue().length
                        && Arrays.equals(Arrays.copyOf(now, file.getValue().length), file.getValue());
                if (!same || sealed && now.length != file.getValue().length) {
                    faults.add(file.getKey() + " lost what was " + (sealed ? "sealed" : "checkpointed"));
                }
            }
            for (Map.Entry<String, byte[]> file : torn.entrySet()) {
                if (file.getValue().length > 0 && !sealed) {
                    Path aside = record.resolve(
                            "data/torn-1-" + Path.of(file.getKey()).getFileName());
                    if (!Files.exists(aside) || !Arrays.equals(file.getValue(), Files.readAllBytes(aside))) {
                        faults.add("what was torn off " + file.getKey() + " is not kept");
                    }
                }
            }
        }
    }

    /** A line for each state of the night. */
    static String table(List<Outcome> outcomes) {
        Map<String, List<Outcome>> byState = new TreeMap<>();
        outcomes.forEach(
                o -> byState.computeIfAbsent(o.state(), s -> new ArrayList<>()).add(o));
        byState.put("all", outcomes);
        StringBuilder text = new StringBuilder(String.format(
                Locale.ROOT,
                "%-44s %8s %8s %7s %14s %12s %22s%n",
                "what the night was doing",
                "moments",
                "resumed",
                "faults",
                "most lost, s",
                "torn, bytes",
                "steps outside interval"));
        byState.forEach((state, all) -> text.append(String.format(
                Locale.ROOT,
                "%-44s %8d %8d %7d %14.1f %12d %14d of %4d%n",
                state,
                all.size(),
                all.stream().filter(o -> o.begun() && o.faults().isEmpty()).count(),
                all.stream().filter(o -> !o.faults().isEmpty()).count(),
                all.stream().mapToDouble(Outcome::lostSeconds).max().orElse(0),
                all.stream().mapToLong(Outcome::tornBytes).max().orElse(0),
                all.stream().mapToInt(Outcome::outside).sum(),
                all.stream().mapToInt(Outcome::compared).sum())));
        return text.toString();
    }
}
