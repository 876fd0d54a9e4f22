package org.plateaubench.record;

import java.io.IOException;
import java.nio.channels.Channels;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Consumer;

/**
 * The ledger beside the records of one folder: a signed line when a run opens, when it is sealed, and for each
 * amendment. Each line holds the SHA-256 of the line before (its bytes without line feed; 64 zeros in the first), so that
 * nothing can be taken from its middle. The hash of the last line is the head: whoever keeps a head elsewhere can later
 * tell whether the ledger still begins with what it stood for.
 */
public final class Ledger {

    /** Name of the file, in the folder of the records. */
    public static final String FILE = "ledger.jsonl";

    private static final String TYPE = "plateau-ledger";
    private static final String LOCK = "ledger.lock";

    private final Path file;
    private final FileOps ops;
    private final long patienceMillis;

    /**
     * The ledger of a folder of records; it need not exist yet.
     *
     * @param recordsFolder the folder that holds the records
     */
    public Ledger(Path recordsFolder) {
        this(recordsFolder, new FileOps());
    }

    Ledger(Path recordsFolder, FileOps ops) {
        this(recordsFolder, ops, OneWriter.PATIENCE_MILLIS);
    }

    Ledger(Path recordsFolder, FileOps ops, long patienceMillis) {
        this.file = recordsFolder.resolve(FILE);
        this.ops = ops;
        this.patienceMillis = patienceMillis;
    }

    /** What a line of the ledger says of a record. */
    public enum Event {
        /** A run began; the hash is that of the first line of its checkpoints. */
        OPENED("opened"),
        /** The record was sealed; the hashes are those of its tag manifest and of the signature over it. */
        SEALED("sealed"),
        /** The record was amended; the hashes are those of the amendment and of the signature over it. */
        AMENDED("amended");

        private final String text;

        Event(String text) {
            this.text = text;
        }
    }

    /**
     * What is entered.
     *
     * @param event what happened
     * @param record name of the record
     * @param simulated whether its bench is simulated
     * @param utc wall-clock time
     * @param file the file that the hash is of, relative to the record
     * @param sha256 hash of that file; for an opening, of its first line
     * @param signatureSha256 hash of the file's signature; empty for an opening
     */
    public record Entry(
            Event event,
            String record,
            boolean simulated,
            String utc,
            String file,
            String sha256,
            String signatureSha256) {

        private boolean says(Entry other) {
            return event == other.event
                    && record.equals(other.record)
                    && file.equals(other.file)
                    && sha256.equals(other.sha256)
                    && signatureSha256.equals(other.signatureSha256);
        }
    }

    /**
     * A line of the ledger.
     *
     * @param number its number, from 1
     * @param entry what it says
     * @param signer the key that it is signed with; who holds it is for a trust file to say
     * @param sha256 hash of the line: the head of the ledger that ends with it
     */
    public record Line(int number, Entry entry, SignerKey signer, String sha256) {}

    /** {@return true if there is a ledger} */
    public boolean exists() {
        return Files.exists(file, LinkOption.NOFOLLOW_LINKS);
    }

    /**
     * Reads the ledger and checks its chain and signatures.
     *
     * @param unfinished told if the last line is unfinished, as a crash leaves it; the line is left out
     * @return its lines; none if there is no ledger
     * @throws RecordFault if a line is broken, its signature does not hold, or it does not follow the line before
     * @throws IOException if it cannot be read
     */
    public List<Line> read(Consumer<RecordFault> unfinished) throws IOException {
        List<Line> lines = new ArrayList<>();
        List<SignedLine> signed = new ArrayList<>();
        long torn = each(lines, signed);
        SignedLine.verifyAll(signed);
        if (torn > 0) {
            unfinished.accept(new RecordFault(
                    FILE + ":" + (lines.size() + 1), "the last line is unfinished, " + torn + " bytes"));
        }
        return lines;
    }

    /** Refuses a ledger whose chain is broken, before a run begins that could not be entered. */
    void requireWhole() throws IOException {
        each(new ArrayList<>(), new ArrayList<>());
    }

    /** Reads the finished lines, follows their chain, and returns how many bytes are behind them. */
    private long each(List<Line> lines, List<SignedLine> signed) throws IOException {
        if (!exists()) {
            return 0;
        }
        if (!Files.isRegularFile(file, LinkOption.NOFOLLOW_LINKS)) {
            throw new RecordFault(FILE, "a link, or no file");
        }
        long[] whole = {0};
        long torn = Lines.each(file, FILE, (buffer, from, to) -> {
            whole[0] += to - from + 1;
            byte[] bytes = Arrays.copyOfRange(buffer, from, to);
            SignedLine line = new SignedLine(bytes, TYPE, FILE + ":" + (lines.size() + 1));
            lines.add(line(line, bytes, lines));
            signed.add(line);
        });
        requireTorn(whole[0], (int) torn, lines.size() + 1);
        return torn;
    }

    /** A crash cuts a line off; it does not put anything behind its end. */
    private void requireTorn(long position, int bytes, int number) throws IOException {
        try (FileChannel channel = FileChannel.open(file, StandardOpenOption.READ, LinkOption.NOFOLLOW_LINKS)) {
            channel.position(position);
            byte[] tail = Channels.newInputStream(channel).readNBytes(bytes);
            for (int i = 0; i + 1 < tail.length; i++) {
                if (tail[i] == '}') {
                    throw new RecordFault(FILE + ":" + number, "something other than a line feed follows the line");
                }
            }
        }
    }

    private static String head(List<Line> lines) {
        return lines.isEmpty() ? Sha256.ZEROS : lines.get(lines.size() - 1).sha256();
    }

    private static Line line(SignedLine signed, byte[] bytes, List<Line> before) throws RecordFault {
        if (!signed.text("prev").equals(head(before))) {
            throw new RecordFault(
                    signed.place(), "the line does not follow the line before: \"prev\" must be " + head(before));
        }
        String event = signed.text("event");
        Entry entry = new Entry(
                Arrays.stream(Event.values())
                        .filter(e -> e.text.equals(event))
                        .findFirst()
                        .orElseThrow(() -> new RecordFault(signed.place(), "no event is called '" + event + "'")),
                signed.text("record"),
                signed.flag("simulated"),
                signed.text("utc"),
                signed.text("file"),
                signed.text("sha256"),
                signed.text("signature_sha256"));
        return new Line(before.size() + 1, entry, signed.signer(), Sha256.of(bytes));
    }

    /**
     * Enters a line, forced to the disk, unless it is there already. An unfinished line at the end, left by a crash, is
     * written over. The chain is checked first, the signatures are not: that is for an audit.
     *
     * @return the head afterwards
     * @throws RecordFault if the chain is broken; then nothing is entered
     * @throws IOException if the line cannot be written, or another program keeps the ledger for too long
     */
    String enter(Entry entry, SealingKey key) throws IOException {
        OneWriter turn = OneWriter.at(file.resolveSibling(LOCK), patienceMillis);
        try {
            List<Line> lines = new ArrayList<>();
            long torn = each(lines, new ArrayList<>());
            if (lines.stream().noneMatch(line -> line.entry().says(entry))) {
                append(entry, lines, torn, key);
            }
            return head(lines);
        } finally {
            turn.close();
        }
    }

    private void append(Entry entry, List<Line> lines, long torn, SealingKey key) throws IOException {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("event", entry.event().text);
        fields.put("record", entry.record());
        fields.put("simulated", entry.simulated());
        fields.put("utc", entry.utc());
        fields.put("file", entry.file());
        fields.put("sha256", entry.sha256());
        fields.put("signature_sha256", entry.signatureSha256());
        fields.put("prev", head(lines));
        byte[] line = SignedLine.sign(TYPE, fields, key);
        boolean isNew = !exists();
        ops.writeAt(file, isNew ? 0 : Files.size(file) - torn, Lines.withLineFeed(line));
        if (isNew) {
            ops.forceFolder(file.getParent());
        }
        lines.add(line(new SignedLine(line, TYPE, FILE), line, lines));
    }
}
