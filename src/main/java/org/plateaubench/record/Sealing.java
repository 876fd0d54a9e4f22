package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.InvalidKeyException;
import java.security.SignatureException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.stream.Stream;

/**
 * Seals a record: manifest, bag-info and tag manifest are put in place one after the other, then the signature over the
 * tag manifest, and with that the record is sealed; then the ledger is told. Every step is forced to the disk before the
 * next, and every file appears whole. A sealing that was interrupted anywhere can be repeated.
 */
public final class Sealing {

    private final Path record;
    private final SealingKey key;
    private final FileOps ops;

    private Sealing(Path record, SealingKey key, FileOps ops) {
        this.record = record;
        this.key = key;
        this.ops = ops;
    }

    /**
     * What a sealing leaves.
     *
     * @param record the record's folder
     * @param ledgerHead head of the ledger afterwards
     */
    public record Sealed(Path record, String ledgerHead) {}

    /**
     * Seals a record whose writer has ended, or whose sealing was interrupted. A sealed record stays as it is, and the
     * ledger is told if it was not.
     *
     * @param record the record's folder
     * @param key the key to seal with
     * @param utc wall-clock time, ISO 8601 with milliseconds and Z
     * @param info more entries for bag-info.txt, in order, such as how the run ended
     * @return what it left
     * @throws RecordFault if the record was changed since its last checkpoint, or is not whole
     * @throws IOException if it cannot be written; what is there is kept
     */
    public static Sealed seal(Path record, SealingKey key, String utc, Map<String, String> info) throws IOException {
        return seal(record, key, utc, info, new FileOps());
    }

    static Sealed seal(Path record, SealingKey key, String utc, Map<String, String> info, FileOps ops)
            throws IOException {
        return new Sealing(record, key, ops).seal(utc, info);
    }

    private Sealed seal(String utc, Map<String, String> info) throws IOException {
        RecordFolder folder = RecordFolder.open(record);
        if (!folder.sealed()) {
            putSeal(folder, utc, info);
        }
        byte[] tagManifest = Bag.bytes(record, Manifest.TAG);
        byte[] signature = Bag.bytes(record, RecordFolder.SIGNATURE);
        try {
            SignerKey.ofPem(new String(Bag.bytes(record, RecordFolder.SIGNER), StandardCharsets.US_ASCII))
                    .verify(tagManifest, signature);
        } catch (InvalidKeyException | SignatureException e) {
            throw new RecordFault(RecordFolder.SIGNATURE, e.getMessage());
        }
        String head = new Ledger(record.toAbsolutePath().getParent(), ops)
                .enter(
                        new Ledger.Entry(
                                Ledger.Event.SEALED,
                                folder.name(),
                                folder.simulated(),
                                utc,
                                Manifest.TAG,
                                Sha256.of(tagManifest),
                                Sha256.of(signature)),
                        key);
        return new Sealed(record, head);
    }

    private void putSeal(RecordFolder folder, String utc, Map<String, String> info) throws IOException {
        clear();
        SortedMap<String, String> payload = new TreeMap<>();
        long bytes = 0;
        for (Path file : files(record.resolve(RecordFolder.DATA))) {
            ops.force(file);
            payload.put(RecordFolder.DATA + "/" + file.getFileName(), Sha256.of(file));
            bytes += Files.size(file);
        }
        ops.forceFolder(record.resolve(RecordFolder.DATA));
        checkUnchanged(folder, payload);

        byte[] pem = key.signer().pem().getBytes(StandardCharsets.US_ASCII);
        ops.writeWhole(record.resolve(RecordFolder.SIGNER), pem);

        byte[] manifest = Manifest.text(payload);
        ops.writeWhole(record.resolve(Manifest.PAYLOAD), manifest);

        List<Map.Entry<String, String>> entries = new ArrayList<>();
        entries.add(Map.entry(BagInfo.SEALED, utc));
        entries.add(Map.entry(BagInfo.BAGGING_DATE, utc.substring(0, "YYYY-MM-DD".length())));
        entries.add(Map.entry(BagInfo.OXUM, bytes + "." + payload.size()));
        entries.add(Map.entry(BagInfo.SIGNER, key.signer().fingerprint()));
        info.forEach((label, value) -> entries.add(Map.entry(label, value)));
        byte[] bagInfo = folder.info().opening().with(entries).bytes();
        ops.writeWhole(record.resolve(BagInfo.FILE), bagInfo);

        SortedMap<String, String> tags = new TreeMap<>();
        tags.put(Bag.BAGIT, Sha256.of(Bag.bytes(record, Bag.BAGIT)));
        tags.put(BagInfo.FILE, Sha256.of(bagInfo));
        tags.put(Manifest.PAYLOAD, Sha256.of(manifest));
        tags.put(RecordFolder.SIGNER, Sha256.of(pem));
        byte[] tagManifest = Manifest.text(tags);
        ops.writeWhole(record.resolve(Manifest.TAG), tagManifest);

        ops.writeWhole(record.resolve(RecordFolder.SIGNATURE), key.sign(tagManifest));
    }

    /** What is sealed must be what the last checkpoint was signed over, all of it. */
    private void checkUnchanged(RecordFolder folder, Map<String, String> payload) throws IOException {
        Checkpoints checkpoints = new Checkpoints(record);
        checkpoints.verifyEnds();
        Checkpoint last = checkpoints.last();
        SortedMap<String, String> signed = new TreeMap<>(checkpoints.opening().files());
        signed.put(SampleLines.FILE, last.samples().sha256());
        signed.put(JournalLines.FILE, last.journal().sha256());
        for (Map.Entry<String, String> file : signed.entrySet()) {
            if (!file.getValue().equals(payload.get(file.getKey()))) {
                throw new RecordFault(
                        file.getKey(), "it is not what the last checkpoint was signed over; nothing was sealed");
            }
        }
        if (!last.record().equals(folder.name()) || last.simulated() != folder.simulated()) {
            throw new RecordFault(BagInfo.FILE, "it contradicts the last checkpoint; nothing was sealed");
        }
    }

    /** Takes unfinished files of an interrupted sealing away. */
    private void clear() throws IOException {
        for (Path folder :
                List.of(record, record.resolve(RecordFolder.DATA), record.resolve(RecordFolder.SIGNATURE_FOLDER))) {
            for (Path file : files(folder)) {
                if (file.getFileName().toString().endsWith(FileOps.UNFINISHED)) {
                    ops.delete(file);
                }
            }
        }
    }

    private static List<Path> files(Path folder) throws IOException {
        try (Stream<Path> entries = Files.list(folder)) {
            return entries.filter(entry -> Files.isRegularFile(entry, LinkOption.NOFOLLOW_LINKS))
                    .sorted()
                    .toList();
        }
    }
}
