package org.plateaubench.night;

import java.io.IOException;
import java.nio.file.Path;
import java.time.ZoneId;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.BiConsumer;
import java.util.function.Consumer;
import java.util.function.Predicate;
import java.util.function.Supplier;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.clock.Clock;
import org.plateaubench.clock.Deadline;
import org.plateaubench.clock.Utc;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Engine;
import org.plateaubench.engine.Input;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.ColumnHead;
import org.plateaubench.record.RecordFault;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.RecordHead;
import org.plateaubench.record.RecordWriter;
import org.plateaubench.record.Sealing;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.SignerKey;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.ResultFiles;

/** A night from opening the bench to the sealed record. */
public final class NightRun {

    private static final long CHECKPOINT_MILLIS = 10_000;
    private static final double SIMULATED_CHECKPOINT_SECONDS = 600;

    private final NightFiles files;
    private final Optional<Input.LevelsFrom> levelsFrom;
    private final Bench bench;
    private final Clock clock;
    private final boolean paced;
    private final long realPeriodMillis;
    private final Consumer<Thread> addHook;
    private final Consumer<String> err;
    private final Recordings recordings;

    /** Where records are kept. */
    interface Recordings {

        /** On the disk. */
        Recordings ON_DISK = new Recordings() {
            @Override
            public RecordWriter open(Path folder, RecordHead head, SealingKey key) throws IOException {
                return RecordWriter.open(folder, head, key);
            }

            @Override
            public RecordWriter reopen(Path record, SealingKey key, String utc, Predicate<SignerKey> believed)
                    throws IOException {
                return RecordWriter.reopen(record, key, utc, believed);
            }
        };

        /** See {@link RecordWriter#open}. */
        RecordWriter open(Path folder, RecordHead head, SealingKey key) throws IOException;

        /** See {@link RecordWriter#reopen}. */
        RecordWriter reopen(Path record, SealingKey key, String utc, Predicate<SignerKey> believed) throws IOException;
    }

    /**
     * A night that has not begun.
     *
     * @param files plan, fans and bench file
     * @param levelsFrom own levels of another night, if its level steps shall be those of that night
     * @param bench the bench, not yet open; it is closed at the end
     * @param clock the night's time
     * @param pace simulated seconds a real second; 1 for a real bench, infinite for an unpaced simulated one
     * @param addHook adds a thread that runs at shutdown, before serial ports are closed
     * @param err told what an operator must see at once, one line
     */
    public NightRun(
            NightFiles files,
            Optional<Input.LevelsFrom> levelsFrom,
            Bench bench,
            Clock clock,
            double pace,
            Consumer<Thread> addHook,
            Consumer<String> err) {
        this(files, levelsFrom, bench, clock, pace, addHook, err, Recordings.ON_DISK);
    }

    NightRun(
            NightFiles files,
            Optional<Input.LevelsFrom> levelsFrom,
            Bench bench,
            Clock clock,
            double pace,
            Consumer<Thread> addHook,
            Consumer<String> err,
            Recordings recordings) {
        this.recordings = recordings;
        this.files = files;
        this.levelsFrom = levelsFrom;
        this.bench = bench;
        this.clock = clock;
        this.paced = Double.isFinite(pace);
        this.realPeriodMillis = Math.round(files.plan().sampleEverySeconds() * 1000 / pace);
        this.addHook = addHook;
        this.err = err;
    }

    /**
     * Where and by whom a record is made.
     *
     * @param folder the folder of records; those of a simulated bench go into a folder of their own inside it
     * @param key key that seals it
     * @param agent program and version, such as "Plateau 0.1.0"
     * @param provenance facts about host and operator, in order
     * @param zone where the local time is that the plan states times of day in
     * @param opened told the record's folder as soon as it is there, and whether anything of the bench is simulated
     */
    public record Keeping(
            Path folder,
            SealingKey key,
            String agent,
            Map<String, Object> provenance,
            ZoneId zone,
            BiConsumer<Path, Boolean> opened) {}

    /**
     * How a night ended.
     *
     * @param end the engine's last word
     * @param results what was measured
     * @param record the record's folder
     * @param sealed what sealing left; empty if the record could not be sealed
     * @param sealingFault why it could not be sealed; empty if it was
     */
    public record Finished(
            Command.End end, NightResults results, Path record, Optional<Sealing.Sealed> sealed, String sealingFault) {}

    /**
     * Runs the night.
     *
     * @param keeping where the record goes
     * @param listener told what happens
     * @return how it ended
     * @throws BenchException if the bench could not be opened; there is no record, and nothing was set
     * @throws IOException if the record could not be begun; nothing was set
     */
    public Finished run(Keeping keeping, NightListener listener) throws BenchException, IOException {
        DiskNeed.of(files).requireRoomIn(keeping.folder());
        List<DeviceIdentity> identities = bench.open();
        // A simulated bench of another process is a real one for everything but this.
        boolean simulated =
                files.bench().simulation().isPresent() || identities.stream().anyMatch(DeviceIdentity::simulated);
        Path folder = simulated ? keeping.folder().resolve("simulated") : keeping.folder();
        Input.Header header = Night.header(files, levelsFrom, clock, keeping.zone());
        try (bench;
                RecordWriter writer =
                        recordings.open(folder, head(keeping, header, identities, simulated), keeping.key())) {
            keeping.opened().accept(writer.folder(), simulated);
            return run(
                    new Night(files, header, bench, clock, keeping.zone(), writer, checkpointing(writer, listener)),
                    writer,
                    simulated);
        }
    }

    /**
     * Goes on with a night that was cut off, or seals it if it had ended already.
     *
     * @param record the record's folder; its files are those of this night
     * @param simulatedGapSeconds how long a simulated bench stood alone, s; a real night's gap is told by the wall clock
     * @param believed whose checkpoints are believed
     * @param keeping where and by whom it goes on; the folder of records is the record's own
     * @param listener told what happens
     * @return how it ended
     * @throws BenchException if the bench could not be opened, is another one, or its heat cannot be switched off; the
     *     record can still be gone on with
     * @throws IOException if the record cannot be gone on with; nothing was set
     * @throws Retrace.OtherRules if the record was made by other rules; nothing was set
     */
    public Finished resume(
            Path record,
            double simulatedGapSeconds,
            Predicate<SignerKey> believed,
            Keeping keeping,
            NightListener listener)
            throws BenchException, IOException, Retrace.OtherRules {
        try (bench;
                RecordWriter writer = recordings.reopen(record, keeping.key(), Utc.text(clock.wall()), believed)) {
            RecordFolder folder = RecordFolder.open(record);
            boolean simulated = folder.simulated();
            keeping.opened().accept(record, simulated);
            Resumption resumption = new Resumption(files, bench, clock, folder);
            Optional<Command.End> ended = resumption.ended();
            if (ended.isPresent()) {
                return finish(writer, ended.get(), simulated);
            }
            Provenance.of(folder).requireSameDevices(bench.open());
            Past past = resumption.past(simulatedGapSeconds);
            NightListener checkpointing = checkpointing(writer, listener);
            Map<String, Object> facts = new LinkedHashMap<>();
            facts.put("program", keeping.agent());
            facts.putAll(keeping.provenance());
            for (Map<String, Object> line : resumption.makeSafe(past, facts, writer.setAside())) {
                writer.journal(line);
                checkpointing.journalled(past.lastMillis() / 1000.0, line);
            }
            writer.checkpoint(Utc.text(clock.wall()));
            return run(new Night(files, past, bench, clock, keeping.zone(), writer, checkpointing), writer, simulated);
        }
    }

    private Finished run(Night night, RecordWriter writer, boolean simulated) {
        StopRequest stop = StopRequest.beside(writer.folder());
        stop.withdraw();
        try (Protection protection = new Protection(night, bench, realPeriodMillis, stop, addHook, err)) {
            Command.End end;
            try {
                end = night.run();
            } catch (RuntimeException | Error e) {
                bench.makeSafe(false);
                throw e;
            }
            // From here on a crash leaves a night that has ended, and only wants to be sealed.
            writer.checkpoint(Utc.text(clock.wall()));
            protection.nightOver();
            bench.close();
            Finished finished = finish(writer, end, simulated);
            stop.withdraw();
            return finished;
        }
    }

    private RecordHead head(Keeping keeping, Input.Header header, List<DeviceIdentity> identities, boolean simulated) {
        String utc = Utc.text(clock.wall());
        Map<String, byte[]> used = files.toRecord();
        used.put(
                Provenance.FILE,
                Provenance.of(keeping.agent(), simulated, clock, identities, keeping.provenance())
                        .bytes());
        return new RecordHead(
                RecordHead.name(utc, files.bench().name(), files.fans().set()),
                utc,
                keeping.agent(),
                simulated,
                used,
                files.bench().columns().stream()
                        .map(c -> new ColumnHead(c.name(), c.unit()))
                        .toList(),
                Engine.STAGES,
                InputText.fields(header, simulated));
    }

    /**
     * A checkpoint every ten seconds of real time; in a simulated night every ten simulated minutes, too. An unpaced one
     * has these only, so that the same seed gives the same record.
     */
    private NightListener checkpointing(RecordWriter writer, NightListener listener) {
        return new NightListener() {
            private Deadline nextReal = Deadline.afterMillis(CHECKPOINT_MILLIS);
            private double nextSeconds = SIMULATED_CHECKPOINT_SECONDS;

            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                if (paced && nextReal.passed() || clock.simulated() && seconds >= nextSeconds) {
                    nextReal = Deadline.afterMillis(CHECKPOINT_MILLIS);
                    nextSeconds = seconds + SIMULATED_CHECKPOINT_SECONDS;
                    writer.checkpoint(Utc.text(clock.wall()));
                }
                listener.tick(tick, seconds, progress);
            }

            @Override
            public void journalled(double seconds, Map<String, Object> fields) {
                listener.journalled(seconds, fields);
            }
        };
    }

    private Finished finish(RecordWriter writer, Command.End end, boolean simulated) {
        String utc = Utc.text(clock.wall());
        NightResults results = NightResults.empty(files, simulated, end.exit().text(), end.reason());
        Map<String, String> info = new LinkedHashMap<>();
        try {
            writer.flush();
            try {
                results = NightResults.of(files, RecordFolder.open(writer.folder()));
                writer.file("results.json", ResultFiles.json(results));
                writer.file("passes.csv", ResultFiles.csv(results));
            } catch (RecordFault | RuntimeException e) {
                if (e instanceof RecordFault fault && !(fault.getCause() instanceof RuntimeException)) {
                    throw fault;
                }
                // What was measured counts more than what this program makes of it.
                err.accept("an error of this program: the results could not be worked out; the record is sealed without"
                        + " them: " + e.getMessage());
                info.put("Results", "could not be worked out");
            }
            info.put("Ended", end.exit().text() + ": " + end.reason());
            Sealing.Sealed sealed = writer.seal(utc, info);
            return new Finished(end, results, writer.folder(), Optional.of(sealed), "");
        } catch (IOException e) {
            return new Finished(end, results, writer.folder(), Optional.empty(), String.valueOf(e.getMessage()));
        }
    }
}
