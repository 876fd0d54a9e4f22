package org.plateaubench.hostile;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.function.Supplier;
import java.util.stream.Stream;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Progress;
import org.plateaubench.night.HostileRuns;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.night.Retrace;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.HostileStorage;
import org.plateaubench.record.Nights;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.record.Sealing;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.TrustFile;

/**
 * A drawn night with its record on disk: the storage fails, the power is cut, the program is killed, and somebody goes on
 * with the night until it is sealed. Then its record is audited, and so are copies that somebody doctored.
 */
final class FolderNight {

    private static final SealingKey KEY = Nights.TECHNICIAN;
    private static final TrustFile TRUST = new TrustFile(
            List.of(new TrustFile.Trusted("technician", KEY.signer(), Optional.empty(), Optional.empty())), List.of());

    private static final int MOST_RESUMES = 6;
    /** Ticks that may pass until the guard hears of a storage that fails; a batch of rows is forced at a time. */
    private static final int STORAGE_TICKS = 20_000;

    private static final int DOCTORINGS = 4;

    private final Scenario scenario;
    private final Dice dice;
    private final Path records;
    private final List<Breach> breaches = new ArrayList<>();
    private final List<String> mishaps = new ArrayList<>();
    private Path record;
    private int runs;
    /** The truth of the whole night: a run that goes on relives what is recorded. */
    private List<TruthRow> rows = List.of();

    private Optional<Command.End> end = Optional.empty();
    /** Why the last run did not come to a seal. */
    private String failure = "";

    private FolderNight(Scenario scenario, Path records) {
        this.scenario = scenario.ofTheBench();
        this.dice = new Dice(scenario.ticket().seed(), "storage");
        this.records = records;
    }

    /** The program is killed. */
    private static final class Killed extends Error {
        private static final long serialVersionUID = 1L;
    }

    /**
     * What came of a night on disk.
     *
     * @param breaches what was broken
     * @param mishaps what befell storage, program and record, each time one
     */
    record Outcome(List<Breach> breaches, List<String> mishaps) {
        static final Outcome NONE = new Outcome(List.of(), List.of());
    }

    static Outcome live(Scenario scenario) {
        try {
            Path records = Files.createTempDirectory("hostile-night");
            try {
                FolderNight night = new FolderNight(scenario, records);
                night.live();
                return new Outcome(night.breaches, night.mishaps);
            } finally {
                delete(records);
            }
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private void breach(FolderInvariant invariant, String detail) {
        breaches.add(new Breach(invariant.name(), invariant.text(), detail));
    }

    private HostileStorage storage() {
        HostileStorage.Kind kind = dice.pick(
                HostileStorage.Kind.NEVER,
                HostileStorage.Kind.NEVER,
                HostileStorage.Kind.ONCE,
                HostileStorage.Kind.FULL,
                HostileStorage.Kind.CUT);
        return new HostileStorage(
                kind, (int) (dice.chance(0.5) ? dice.magnitude(1, 120) : dice.magnitude(120, 8000)) - 1);
    }

    private void live() throws IOException {
        Optional<NightRun.Finished> finished = Optional.empty();
        for (int i = 0; i <= MOST_RESUMES && finished.isEmpty(); i++) {
            boolean healthy = i >= MOST_RESUMES - 1;
            HostileStorage storage = healthy ? new HostileStorage(HostileStorage.Kind.NEVER, 0) : storage();
            long killAtTick = !healthy && dice.chance(0.4) ? (long) dice.magnitude(1, 4000) : Long.MAX_VALUE;
            if (record != null && RecordFolder.open(record).sealed()) {
                // Cut off between the seal and the ledger's line about it.
                mishaps.add("sealed again");
                Sealing.seal(record, KEY, Nights.SEALED, Map.of());
                judge();
                return;
            }
            List<RecordedNight.Row> kept = checkpointed();
            if (record != null) {
                mishaps.add("resumed");
            }
            finished = run(storage, killAtTick).filter(f -> f.sealed().isPresent());
            stillThere(kept);
        }
        if (record == null) {
            return;
        }
        if (finished.isEmpty()) {
            breach(
                    FolderInvariant.GOES_ON_TO_A_SEAL,
                    "not sealed after " + runs + " runs, the last on storage that works: " + failure);
            return;
        }
        judge();
    }

    // ---- one run of the program

    private Optional<NightRun.Finished> run(HostileStorage storage, long killAtTick) throws IOException {
        runs++;
        NightFiles files = scenario.files();
        VirtualClock clock = VirtualClock.unpaced(
                files.bench().simulation().orElseThrow().start().toInstant());
        SimulatedBench bench = SimulatedBench.create(
                files.bench(), files.fans().set(), scenario.ticket().seed(), clock, Transport.IN_PROCESS);
        scenario.mishaps().forEach(m -> bench.faults().add(m.fault().orElseThrow()));
        Eyes eyes = new Eyes(bench, clock, 10 * scenario.mostSeconds());
        rows = eyes.rows();
        end = Optional.empty();
        int[] ticksWithoutRecord = new int[1];
        NightListener listener = new NightListener() {
            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                storage.settle();
                ticksWithoutRecord[0] += storage.failed() && !storage.over() ? 1 : 0;
                if (tick >= killAtTick && !storage.over()) {
                    mishaps.add("killed");
                    storage.kill();
                }
                if (storage.over()) {
                    eyes.deafen();
                    throw new Killed();
                }
            }
        };
        NightRun run = HostileRuns.of(files, eyes, clock, storage);
        NightRun.Keeping keeping = new NightRun.Keeping(
                records,
                KEY,
                "Plateau tests",
                Map.of(),
                files.bench().simulation().orElseThrow().start().getOffset(),
                (folder, simulated) -> record = folder);
        boolean fresh = record == null;
        try {
            NightRun.Finished finished = fresh
                    ? run.run(keeping, listener)
                    : run.resume(record, dice.between(1, 600), KEY.signer()::equals, keeping, listener);
            failure = finished.sealingFault();
            end = Optional.of(finished.end());
            safe(eyes, finished);
            return Optional.of(finished);
        } catch (Killed e) {
            return Optional.empty();
        } catch (BenchException e) {
            failure = e.getMessage();
            return Optional.empty();
        } catch (IOException e) {
            failure = e.getMessage();
            if (fresh && record == null && !eyes.untouched()) {
                breach(FolderInvariant.NOT_OPENED_NOT_SET, "the bench was set although: " + e.getMessage());
            }
            return Optional.empty();
        } catch (Retrace.OtherRules | RuntimeException | Error e) {
            StackTraceElement[] trace = e.getStackTrace();
            breach(FolderInvariant.FOLDER_THROWS, e + (trace.length > 0 ? " at " + trace[0] : ""));
            return Optional.empty();
        } finally {
            if (!storage.struck().isEmpty()) {
                mishaps.add("disk: " + storage.struck());
            }
            if (ticksWithoutRecord[0] > STORAGE_TICKS) {
                breach(FolderInvariant.STORAGE_ENDS_RUN, ticksWithoutRecord[0] + " ticks without a record");
            }
        }
    }

    private void safe(Eyes eyes, NightRun.Finished finished) {
        eyes.watchOn(45);
        Story story = new Story(scenario, eyes.rows(), List.of(), null, Optional.of(finished.end()), Optional.empty());
        SafetyChecks.offAfterEnd(story, detail -> breach(FolderInvariant.FOLDER_SAFE, detail));
        SafetyChecks.safeAfterEnd(story, detail -> breach(FolderInvariant.FOLDER_SAFE, detail));
    }

    // ---- what is on the disk

    private List<RecordedNight.Row> rows() throws IOException {
        List<RecordedNight.Row> rows = new ArrayList<>();
        RecordFolder.open(record).samples(rows::add);
        return rows;
    }

    /** The rows that a checkpoint stands for; a crash may take those behind it. */
    private List<RecordedNight.Row> checkpointed() throws IOException {
        if (record == null) {
            return List.of();
        }
        long bytes = 0;
        for (String line : Files.readAllLines(record.resolve("data/checkpoints.jsonl"), StandardCharsets.ISO_8859_1)) {
            int at = line.indexOf("\"samples\":{\"bytes\":");
            if (at >= 0 && line.endsWith("}")) {
                String number = line.substring(at + "\"samples\":{\"bytes\":".length());
                bytes = Long.parseLong(number.substring(0, number.indexOf(',')));
            }
        }
        byte[] samples = Files.readAllBytes(record.resolve("data/samples.csv"));
        int lines = 0;
        for (int i = 0; i < Math.min(bytes, samples.length); i++) {
            lines += samples[i] == '\n' ? 1 : 0;
        }
        int wanted = Math.max(0, lines - 1);
        List<RecordedNight.Row> rows = new ArrayList<>();
        try {
            RecordFolder.open(record).samples(row -> {
                if (rows.size() < wanted) {
                    rows.add(row);
                }
            });
        } catch (IOException e) {
            // What lies behind the checkpoint may be torn.
        }
        return rows;
    }

    private void stillThere(List<RecordedNight.Row> kept) throws IOException {
        if (kept.isEmpty()) {
            return;
        }
        List<RecordedNight.Row> now = checkpointed();
        if (now.size() < kept.size() || !now.subList(0, kept.size()).equals(kept)) {
            breach(FolderInvariant.NOTHING_LOST, kept.size() + " rows stood behind a checkpoint, now " + now.size());
        }
    }

    private void judge() throws IOException {
        Map<String, String> sealed = bytes(record);
        Story story =
                new Story(scenario.with(gaps()), rows, List.of(), RecordFolder.open(record), end, Optional.empty());
        if (end.isPresent() && story.byTick().size() > 1) {
            breaches.addAll(Invariant.breaches(story));
        }
        AuditReport report = Audit.audit(record, AuditOptions.of(TRUST));
        if (report.fails()) {
            breach(FolderInvariant.HONEST_AUDIT, report.toString());
        }
        try {
            Retrace.of(scenario.files(), RecordFolder.open(record))
                    .ifPresent(d -> breach(FolderInvariant.FOLDER_RETRACED, d.toString()));
        } catch (Retrace.OtherRules e) {
            breach(FolderInvariant.FOLDER_RETRACED, e.getMessage());
        }
        run(new HostileStorage(HostileStorage.Kind.NEVER, 0), Long.MAX_VALUE);
        if (!bytes(record).equals(sealed)) {
            breach(FolderInvariant.SEALED_STAYS, "audit, retrace or another resume changed it");
        }
        for (int i = 0; i < DOCTORINGS; i++) {
            doctored(i);
        }
    }

    /** The times in which no program ran, as pauses of the host. */
    private List<Mishap> gaps() throws IOException {
        List<Mishap> gaps = new ArrayList<>();
        for (Map<String, Object> line : RecordFolder.open(record).journal()) {
            if ("resumed".equals(line.get("type"))) {
                double from = rows.stream()
                        .filter(r -> line.get("tick").equals(r.tick()))
                        .mapToDouble(r -> r.millis() / 1000.0)
                        .findFirst()
                        .orElse(0);
                gaps.add(new Mishap(Mishap.STALL, "", from, ((Number) line.get("gap-seconds")).doubleValue(), 0));
            }
        }
        return gaps;
    }

    /** Changes one thing in a copy, and audits it. */
    private void doctored(int number) throws IOException {
        Path copy = records.resolve("copy-" + number).resolve(record.getFileName());
        copy(record, copy);
        List<Path> files = files(copy);
        Path file = dice.pick(files);
        byte[] bytes = Files.readAllBytes(file);
        String what;
        if (bytes.length > 0 && dice.chance(0.6)) {
            int at = dice.whole(0, bytes.length - 1);
            bytes[at] ^= (byte) (1 << dice.whole(0, 7));
            Files.write(file, bytes);
            what = "a bit of byte " + at + " of ";
        } else if (bytes.length > 0 && dice.chance(0.5)) {
            Files.write(file, Arrays.copyOf(bytes, bytes.length - 1));
            what = "the last byte of ";
        } else {
            Files.delete(file);
            what = "all of ";
        }
        mishaps.add("doctored: " + what.replaceAll(" of byte .*| of $", ""));
        AuditReport report = Audit.audit(copy, AuditOptions.of(TRUST));
        if (!report.fails()) {
            breach(FolderInvariant.DOCTORED_AUDIT, what + copy.relativize(file) + " was changed, and the audit passed");
        }
        delete(copy.getParent());
    }

    private static List<Path> files(Path folder) throws IOException {
        try (Stream<Path> paths = Files.walk(folder)) {
            return paths.filter(Files::isRegularFile).sorted().toList();
        }
    }

    private static Map<String, String> bytes(Path folder) throws IOException {
        Map<String, String> bytes = new TreeMap<>();
        for (Path file : files(folder)) {
            bytes.put(
                    folder.relativize(file).toString(),
                    Arrays.hashCode(Files.readAllBytes(file)) + " " + Files.size(file));
        }
        return bytes;
    }

    private static void copy(Path from, Path to) throws IOException {
        for (Path file : files(from)) {
            Path target = to.resolve(from.relativize(file).toString());
            Files.createDirectories(target.getParent());
            Files.copy(file, target);
        }
    }

    private static void delete(Path folder) throws IOException {
        try (Stream<Path> paths = Files.walk(folder)) {
            for (Path path : paths.sorted(Comparator.reverseOrder()).toList()) {
                Files.delete(path);
            }
        }
    }
}
