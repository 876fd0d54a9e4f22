package org.plateaubench.record;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/** The signed checkpoints of a record: what they say, and whether the files still begin as they say. */
final class Checkpoints {

    private final Path record;
    private final List<Checkpoint> lines = new ArrayList<>();
    private final List<SignedLine> signed = new ArrayList<>();
    private long bytes;
    private String openingSha256 = "";

    /**
     * Reads them; their signatures are still to be checked.
     *
     * @throws RecordFault if a line is none, or they go backwards
     */
    Checkpoints(Path record) throws IOException {
        this.record = record;
        Lines.each(record.resolve(Checkpoint.FILE), Checkpoint.FILE, (buffer, from, to) -> {
            int number = lines.size() + 1;
            bytes += to - from + 1;
            if (number == 1) {
                openingSha256 = Sha256.of(Arrays.copyOfRange(buffer, from, to));
            }
            SignedLine line = Checkpoint.signed(Arrays.copyOfRange(buffer, from, to), number);
            Checkpoint next = Checkpoint.of(line);
            if (number > 1) {
                Checkpoint before = lines.get(number - 2);
                if (next.samples().bytes() < before.samples().bytes()
                        || next.journal().bytes() < before.journal().bytes()
                        || !next.record().equals(before.record())
                        || next.simulated() != before.simulated()) {
                    throw new RecordFault(line.place(), "it does not follow the checkpoint before");
                }
            }
            lines.add(next);
            signed.add(line);
        });
        if (lines.isEmpty()) {
            throw new RecordFault(Checkpoint.FILE, "there is no finished line");
        }
    }

    /** The first, which also has the hashes of the files that were there from the start. */
    Checkpoint opening() {
        return lines.get(0);
    }

    Checkpoint last() {
        return lines.get(lines.size() - 1);
    }

    /** Who signed them, each key once. */
    List<SignerKey> signers() {
        return signed.stream().map(SignedLine::signer).distinct().toList();
    }

    /** Hash of the first line, by which a ledger knows the record. */
    String openingSha256() {
        return openingSha256;
    }

    /** How many bytes its finished lines take. */
    long bytes() {
        return bytes;
    }

    /** Checks the signatures of the first and the last: enough for who reads only these two. */
    void verifyEnds() throws RecordFault {
        signed.get(0).verified();
        signed.get(signed.size() - 1).verified();
    }

    void verifyAll() throws RecordFault {
        SignedLine.verifyAll(signed);
    }

    /** The first file or beginning of a file that is not as a checkpoint says, with what was found. */
    Optional<RecordFault> firstDifference() throws IOException {
        for (Map.Entry<String, String> file : opening().files().entrySet()) {
            if (!Files.isRegularFile(record.resolve(file.getKey()), LinkOption.NOFOLLOW_LINKS)) {
                return Optional.of(new RecordFault(file.getKey(), "the file of the opening is gone"));
            }
            String hash = Sha256.of(Bag.bytes(record, file.getKey()));
            if (!hash.equals(file.getValue())) {
                return Optional.of(new RecordFault(
                        file.getKey(), "the opening has " + file.getValue() + ", the file has " + hash));
            }
        }
        Optional<RecordFault> samples = firstDifference(
                SampleLines.FILE, lines.stream().map(Checkpoint::samples).toList());
        return samples.isPresent()
                ? samples
                : firstDifference(
                        JournalLines.FILE,
                        lines.stream().map(Checkpoint::journal).toList());
    }

    private Optional<RecordFault> firstDifference(String path, List<Checkpoint.Extent> extents) throws IOException {
        MessageDigest digest = Sha256.digest();
        long done = 0;
        byte[] buffer = new byte[1 << 16];
        try (InputStream in = Files.newInputStream(record.resolve(path), LinkOption.NOFOLLOW_LINKS)) {
            for (int i = 0; i < extents.size(); i++) {
                Checkpoint.Extent extent = extents.get(i);
                while (done < extent.bytes()) {
                    int got = in.read(buffer, 0, (int) Math.min(buffer.length, extent.bytes() - done));
                    if (got < 0) {
                        return Optional.of(new RecordFault(
                                path, "checkpoint " + (i + 1) + " has " + extent.bytes() + " bytes, the file " + done));
                    }
                    digest.update(buffer, 0, got);
                    done += got;
                }
                if (!Sha256.soFar(digest).equals(extent.sha256())) {
                    return Optional.of(new RecordFault(
                            path, "its first " + extent.bytes() + " bytes are not those of checkpoint " + (i + 1)));
                }
            }
        }
        return Optional.empty();
    }
}
