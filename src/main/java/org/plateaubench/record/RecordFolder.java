package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Consumer;
import org.plateaubench.sample.TickReadings;

/**
 * A record on disk, sealed or not. Reading is strict about names, links and the form of samples and journal; whether the
 * bytes are those that were sealed is for an audit to say.
 */
public final class RecordFolder implements RecordedNight {

    static final String DATA = "data";
    static final String SIGNATURE_FOLDER = "signature";
    static final String SIGNER = SIGNATURE_FOLDER + "/signer.pem";
    static final String SIGNATURE = SIGNATURE_FOLDER + "/" + Manifest.TAG + ".sig";

    private final Path folder;
    private final BagInfo info;
    private final SamplesMetadata metadata;

    private RecordFolder(Path folder) throws IOException {
        this.folder = folder;
        this.info = BagInfo.read(Bag.bytes(folder, BagInfo.FILE));
        this.metadata = SamplesMetadata.read(Bag.bytes(folder, SamplesMetadata.FILE));
    }

    /**
     * Opens a record.
     *
     * @param folder its folder
     * @return the record
     * @throws RecordFault if a name or link in it is refused, or it does not say what it is
     * @throws IOException if it cannot be read
     */
    public static RecordFolder open(Path folder) throws IOException {
        List<Finding> refused = new ArrayList<>();
        FolderTree.of(folder, refused::add);
        if (!refused.isEmpty()) {
            throw new RecordFault(refused.get(0).place(), refused.get(0).found());
        }
        return new RecordFolder(folder);
    }

    /**
     * Tells whether a folder was to become a record.
     *
     * @param name the folder's name
     * @return true if a run was cut off, or is just now, before it gave the folder a record's name
     */
    public static boolean unfinished(String name) {
        return name.endsWith(FileOps.UNFINISHED);
    }

    /** Opens a record whose names and links were looked at already. */
    static RecordFolder unchecked(Path folder) throws IOException {
        return new RecordFolder(folder);
    }

    /** {@return its folder} */
    public Path folder() {
        return folder;
    }

    /**
     * The record's name, whatever its folder is called.
     *
     * @return its name
     * @throws RecordFault if bag-info.txt does not say
     */
    public String name() throws RecordFault {
        return info.value(BagInfo.RECORD);
    }

    /**
     * Tells whether the bench is simulated.
     *
     * @return true if nothing was measured
     * @throws RecordFault if bag-info.txt does not say
     */
    public boolean simulated() throws RecordFault {
        String text = info.value(BagInfo.SIMULATED);
        if (!text.equals("true") && !text.equals("false")) {
            throw new RecordFault(BagInfo.FILE, BagInfo.SIMULATED + " is true or false, found '" + text + "'");
        }
        return text.equals("true");
    }

    /**
     * When the record was opened.
     *
     * @return wall-clock time, ISO 8601
     * @throws RecordFault if bag-info.txt does not say
     */
    public String openedUtc() throws RecordFault {
        return info.value(BagInfo.OPENED);
    }

    /** {@return true if there is a signature over it, whether it holds or not} */
    public boolean sealed() {
        return Files.exists(folder.resolve(SIGNATURE), LinkOption.NOFOLLOW_LINKS);
    }

    /**
     * The hash that stands for everything that was sealed.
     *
     * @return SHA-256 of the tag manifest as it is now; empty if the record is not sealed
     * @throws IOException if it cannot be read
     */
    public Optional<String> tagManifestSha256() throws IOException {
        return sealed() ? Optional.of(Sha256.of(folder.resolve(Manifest.TAG))) : Optional.empty();
    }

    /** {@return labels and values of bag-info.txt} */
    public BagInfo info() {
        return info;
    }

    /** {@return heads of the readings, in order} */
    public List<ColumnHead> columns() {
        return metadata.columns();
    }

    /** {@return every stage that a sample can be taken in} */
    public List<String> stages() {
        return metadata.stages();
    }

    /**
     * {@inheritDoc}
     *
     * @param name any file under data, such as "plan.yaml" or "results.json"; at most 64 MiB
     */
    @Override
    public byte[] file(String name) throws IOException {
        if (!RecordHead.isFlat(name)) {
            throw new RecordFault(DATA + "/" + name, "no file of a record is called so");
        }
        return Bag.bytes(folder, DATA + "/" + name);
    }

    @Override
    public void samples(Consumer<Row> each) throws IOException {
        SampleLines rows = sampleLines();
        goThroughAll(rows, () -> each.accept(rows.row()));
    }

    @Override
    public void readings(Consumer<TickReadings> each) throws IOException {
        SampleLines rows = sampleLines();
        goThroughAll(rows, () -> each.accept(rows));
    }

    private void goThroughAll(SampleLines rows, Runnable checked) throws IOException {
        long torn = goThroughSamples(rows, checked);
        if (torn > 0) {
            throw new RecordFault(SampleLines.FILE, "the last row is unfinished, " + torn + " bytes");
        }
    }

    @Override
    public List<Map<String, Object>> journal() throws IOException {
        List<Map<String, Object>> journal = new ArrayList<>();
        long torn = goThroughJournal(journal::add);
        if (torn > 0) {
            throw new RecordFault(JournalLines.FILE, "the last line is unfinished, " + torn + " bytes");
        }
        return journal;
    }

    SampleLines sampleLines() {
        return metadata.lines();
    }

    /** Checks each finished row; returns how many bytes follow the last. */
    long goThroughSamples(SampleLines rows, Runnable checked) throws IOException {
        return Lines.each(folder.resolve(SampleLines.FILE), SampleLines.FILE, (buffer, from, to) -> {
            if (rows.check(buffer, from, to)) {
                checked.run();
            }
        });
    }

    /** Checks each finished line; returns how many bytes follow the last. */
    long goThroughJournal(Consumer<Map<String, Object>> checked) throws IOException {
        JournalLines lines = new JournalLines();
        return Lines.each(
                folder.resolve(JournalLines.FILE),
                JournalLines.FILE,
                (buffer, from, to) -> checked.accept(lines.check(Arrays.copyOfRange(buffer, from, to))));
    }
}
