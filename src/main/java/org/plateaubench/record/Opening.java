package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Begins records. A record is put together under an unfinished name and gets its own in one step, so that a folder with a
 * record's name always has a signed beginning from which its run can go on.
 */
final class Opening {

    private static final int MOST_OF_ONE_NAME = 10_000;

    private Opening() {}

    /**
     * Makes a record with everything that is known, forced to the disk, and with its first checkpoint.
     *
     * @param recordsFolder folder of the records, which is there
     * @param head what is known
     * @param key key that signs
     * @return the record's folder
     * @throws IOException if it cannot be written; then at most an unfinished folder is left
     */
    static Path make(Path recordsFolder, RecordHead head, SealingKey key, FileOps ops) throws IOException {
        for (int i = 1; i < MOST_OF_ONE_NAME; i++) {
            Path folder = recordsFolder.resolve(i == 1 ? head.name() : head.name() + "-" + i);
            Path unfinished = folder.resolveSibling(folder.getFileName() + FileOps.UNFINISHED);
            try {
                ops.createFolder(unfinished);
            } catch (FileAlreadyExistsException e) {
                continue; // another run begins under this name, or was cut off while it did
            }
            // Whoever holds the unfinished name alone may make the finished one.
            if (Files.exists(folder, LinkOption.NOFOLLOW_LINKS)) {
                ops.delete(unfinished);
                continue;
            }
            fill(unfinished, folder.getFileName().toString(), head, key, ops);
            ops.move(unfinished, folder);
            ops.forceFolder(recordsFolder);
            return folder;
        }
        throw new FileAlreadyExistsException(recordsFolder.resolve(head.name()).toString());
    }

    private static void fill(Path folder, String name, RecordHead head, SealingKey key, FileOps ops)
            throws IOException {
        ops.createFolder(folder.resolve(RecordFolder.DATA));
        ops.createFolder(folder.resolve(RecordFolder.SIGNATURE_FOLDER));
        Map<String, String> hashes = new LinkedHashMap<>();
        for (Map.Entry<String, byte[]> file : head.files().entrySet()) {
            String path = RecordFolder.DATA + "/" + file.getKey();
            ops.write(folder.resolve(path), file.getValue());
            hashes.put(path, Sha256.of(file.getValue()));
        }
        SamplesMetadata metadata = new SamplesMetadata(head.columns(), head.stages());
        ops.write(folder.resolve(SamplesMetadata.FILE), metadata.bytes());
        hashes.put(SamplesMetadata.FILE, Sha256.of(metadata.bytes()));
        ops.write(folder.resolve(Bag.BAGIT), Bag.BAGIT_LINES.getBytes(StandardCharsets.US_ASCII));
        ops.write(folder.resolve(BagInfo.FILE), BagInfo.opening(head, name).bytes());
        ops.write(folder.resolve(RecordFolder.SIGNER), key.signer().pem().getBytes(StandardCharsets.US_ASCII));
        byte[] heads = Lines.withLineFeed(metadata.lines().header().getBytes(StandardCharsets.US_ASCII));
        ops.write(folder.resolve(SampleLines.FILE), heads);
        byte[] header = Lines.withLineFeed(new JournalLines().next(head.header()));
        ops.write(folder.resolve(JournalLines.FILE), header);
        byte[] opening = new Checkpoint(
                        name,
                        head.simulated(),
                        head.utc(),
                        Checkpoint.Extent.of(heads),
                        Checkpoint.Extent.of(header),
                        hashes)
                .line(key);
        ops.write(folder.resolve(Checkpoint.FILE), Lines.withLineFeed(opening));
        for (String each : List.of(RecordFolder.DATA, RecordFolder.SIGNATURE_FOLDER, ".")) {
            ops.forceFolder(folder.resolve(each));
        }
    }
}
