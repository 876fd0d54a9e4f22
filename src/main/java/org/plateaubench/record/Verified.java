package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.InvalidKeyException;
import java.security.SignatureException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;

/**
 * What the bytes of one record say, looked at from all sides: form, checksums, chain, signature, samples, amendments.
 * Whose keys they are, and what a ledger knows, is for an audit to say.
 *
 * @param name the record's name; its folder's where the record does not say
 * @param simulated whether the bench is simulated, if the record says so
 * @param openedUtc when it was opened, as it says; may be empty
 * @param sealedUtc when it was sealed, as its signer says; empty if it is not
 * @param signer the key in it, if there is a usable one
 * @param sealed whether there is a signature, whether it holds or not
 * @param openingSha256 hash of the first line of its checkpoints, if there is one
 * @param tagManifestSha256 hash of the tag manifest, if there is one
 * @param signatureSha256 hash of the signature, if there is one
 * @param resumptions how often the night was cut off and went on, as the journal says
 * @param amendments amendments that hold
 * @param findings what is not as it must be
 */
public record Verified(
        String name,
        Optional<Boolean> simulated,
        String openedUtc,
        String sealedUtc,
        Optional<SignerKey> signer,
        boolean sealed,
        Optional<String> openingSha256,
        Optional<String> tagManifestSha256,
        Optional<String> signatureSha256,
        int resumptions,
        List<Amendment> amendments,
        List<Finding> findings) {

    /** Copies the lists. */
    public Verified {
        amendments = List.copyOf(amendments);
        findings = List.copyOf(findings);
    }

    /**
     * Looks at a record. Files are read one after the other, in bounded memory.
     *
     * @param record its folder
     * @return what was found
     * @throws IOException if the folder cannot be read
     */
    public static Verified of(Path record) throws IOException {
        return new Look(record, true).all();
    }

    /**
     * Looks at a record that is read as a whole next: whoever works results out of it meets each fault of samples and journal
     * as a {@link RecordFault}, and they need not be gone through twice.
     *
     * @param record its folder
     * @return what was found, but for the lines of samples and journal; no resumptions are counted
     * @throws IOException if the folder cannot be read
     */
    public static Verified butForLines(Path record) throws IOException {
        return new Look(record, false).all();
    }

    /** One look. */
    private static final class Look {

        private static final List<String> ALWAYS = List.of(
                Bag.BAGIT,
                BagInfo.FILE,
                RecordFolder.SIGNER,
                SampleLines.FILE,
                SamplesMetadata.FILE,
                JournalLines.FILE,
                Checkpoint.FILE);
        private static final List<String> ONCE_SEALED = List.of(Manifest.PAYLOAD, Manifest.TAG, RecordFolder.SIGNATURE);
        private static final Set<String> FOLDERS = new TreeSet<>(
                List.of(RecordFolder.DATA + "/", RecordFolder.SIGNATURE_FOLDER + "/", Amendments.FOLDER + "/"));

        private static final List<String> BOOLEANS = List.of("true", "false");

        private final Path record;
        private final boolean lines;
        private final List<Finding> findings = new ArrayList<>();
        private Set<String> files = new TreeSet<>();
        private boolean sealed;
        private int resumptions;

        Look(Path record, boolean lines) {
            this.record = record;
            this.lines = lines;
        }

        /** A check that may come upon a fault. */
        private interface Step<T> {
            T run() throws IOException;
        }

        Verified all() throws IOException {
            sealed = Files.exists(record.resolve(RecordFolder.SIGNATURE), LinkOption.NOFOLLOW_LINKS);
            FolderTree tree = sealed ? Bag.treeChecked(record, findings::add) : FolderTree.of(record, findings::add);
            files = tree.files().keySet();
            checkLayout(tree);
            if (!sealed) {
                findings.add(RecordCheck.NOT_SEALED.at(
                        RecordFolder.SIGNATURE,
                        files.contains(Manifest.PAYLOAD)
                                ? "it is not there: the sealing was begun and not finished"
                                : "it is not there: the run goes on, or ended without sealing"));
            }
            Optional<BagInfo> info = attempt(
                    RecordCheck.BAG_INFO_BROKEN, BagInfo.FILE, () -> BagInfo.read(Bag.bytes(record, BagInfo.FILE)));
            Optional<SignerKey> signer = attempt(RecordCheck.KEY_BROKEN, RecordFolder.SIGNER, this::signer);
            if (sealed && signer.isPresent()) {
                checkSignature(signer.get());
            }
            if (sealed && info.isPresent() && signer.isPresent()) {
                checkInfoNames(info.get(), signer.get());
            }
            if (lines && info.isPresent()) {
                checkContent();
            }
            if (!sealed) {
                attempt(RecordCheck.CHECKPOINT_BROKEN, Checkpoint.FILE, () -> checkCheckpoints(info));
            }
            List<Amendment> amendments = info.isPresent() && files.containsAll(ONCE_SEALED)
                    ? Amendments.read(record, findings::add)
                    : List.of();
            return new Verified(
                    value(info, BagInfo.RECORD)
                            .orElse(record.toAbsolutePath().getFileName().toString()),
                    value(info, BagInfo.SIMULATED).filter(BOOLEANS::contains).map(Boolean::valueOf),
                    value(info, BagInfo.OPENED).orElse(""),
                    value(info, BagInfo.SEALED).orElse(""),
                    signer,
                    sealed,
                    openingSha256(),
                    hash(Manifest.TAG),
                    hash(RecordFolder.SIGNATURE),
                    resumptions,
                    amendments,
                    findings);
        }

        private static Optional<String> value(Optional<BagInfo> info, String label) {
            return info.flatMap(i -> value(i, label));
        }

        private static Optional<String> value(BagInfo info, String label) {
            return info.values(label).stream().findFirst();
        }

        private <T> Optional<T> attempt(RecordCheck check, String path, Step<T> step) throws IOException {
            if (!files.contains(path)) {
                return Optional.empty(); // that it is missing is a finding already
            }
            try {
                return Optional.of(step.run());
            } catch (RecordFault e) {
                findings.add(check.at(e.place(), e.found()));
                return Optional.empty();
            }
        }

        /** Only what belongs in a record, under flat names. */
        private void checkLayout(FolderTree tree) {
            for (String path : sealed ? concat(ALWAYS, ONCE_SEALED) : ALWAYS) {
                if (!files.contains(path)
                        && findings.stream().noneMatch(f -> f.place().equals(path))) {
                    findings.add(RecordCheck.FILE_MISSING.at(path, "every record has this file"));
                }
            }
            for (String folder : tree.folders()) {
                if (!FOLDERS.contains(folder)) {
                    findings.add(RecordCheck.FILE_NOT_LISTED.at(folder, "a record has no such folder"));
                }
            }
            Set<String> expected = new TreeSet<>(concat(ALWAYS, ONCE_SEALED));
            for (String path : files) {
                String folder = path.substring(0, path.lastIndexOf('/') + 1);
                String name = path.substring(folder.length());
                boolean amended = folder.equals(Amendments.FOLDER + "/");
                boolean unfinished = path.endsWith(FileOps.UNFINISHED) && (amended || !sealed);
                boolean holdsMore = amended || folder.equals(RecordFolder.DATA + "/");
                if (holdsMore && !unfinished && !RecordHead.isFlat(name)) {
                    findings.add(
                            RecordCheck.NAME_REFUSED.at(path, "names in a record are a to z, 0 to 9, '.' and '-'"));
                } else if (!holdsMore && !unfinished && !expected.contains(path)) {
                    findings.add(RecordCheck.FILE_NOT_LISTED.at(path, "a record has no such file"));
                }
            }
        }

        private static List<String> concat(List<String> one, List<String> other) {
            List<String> both = new ArrayList<>(one);
            both.addAll(other);
            return both;
        }

        private SignerKey signer() throws IOException {
            byte[] pem = Bag.bytes(record, RecordFolder.SIGNER);
            try {
                return SignerKey.ofPem(new String(pem, StandardCharsets.US_ASCII));
            } catch (InvalidKeyException e) {
                throw new RecordFault(RecordFolder.SIGNER, e.getMessage());
            }
        }

        private void checkSignature(SignerKey signer) throws IOException {
            if (!files.containsAll(ONCE_SEALED)) {
                return; // what is missing is a finding already
            }
            try {
                signer.verify(Bag.bytes(record, Manifest.TAG), Bag.bytes(record, RecordFolder.SIGNATURE));
            } catch (SignatureException e) {
                findings.add(RecordCheck.SIGNATURE_WRONG.at(
                        RecordFolder.SIGNATURE,
                        e.getMessage() + " for " + Manifest.TAG + " under the key of " + RecordFolder.SIGNER));
            }
        }

        private void checkInfoNames(BagInfo info, SignerKey signer) throws IOException {
            for (String label : List.of(
                    BagInfo.RECORD, BagInfo.SIMULATED, BagInfo.OPENED, BagInfo.SEALED, BagInfo.OXUM, BagInfo.SIGNER)) {
                if (info.values(label).size() != 1) {
                    findings.add(RecordCheck.BAG_INFO_BROKEN.at(BagInfo.FILE, "one " + label + " is needed"));
                }
            }
            if (value(info, BagInfo.SIMULATED).filter(BOOLEANS::contains).isEmpty()) {
                findings.add(
                        RecordCheck.BAG_INFO_BROKEN.at(BagInfo.FILE, BagInfo.SIMULATED + " must be true or false"));
            }
            if (!info.values(BagInfo.SIGNER).contains(signer.fingerprint())) {
                findings.add(RecordCheck.BAG_INFO_BROKEN.at(
                        BagInfo.FILE, "it names another signer than " + RecordFolder.SIGNER));
            }
        }

        private void checkContent() throws IOException {
            Optional<RecordFolder> folder =
                    attempt(RecordCheck.SAMPLES_BROKEN, SamplesMetadata.FILE, () -> RecordFolder.unchecked(record));
            if (folder.isEmpty()) {
                return;
            }
            attempt(RecordCheck.SAMPLES_BROKEN, SampleLines.FILE, () -> {
                SampleLines rows = folder.get().sampleLines();
                return whole(SampleLines.FILE, folder.get().goThroughSamples(rows, () -> {}));
            });
            attempt(
                    RecordCheck.JOURNAL_BROKEN,
                    JournalLines.FILE,
                    () -> whole(JournalLines.FILE, folder.get().goThroughJournal(this::countResumption)));
        }

        private void countResumption(Map<String, Object> line) {
            if ("resumed".equals(line.get("type"))) {
                resumptions++;
            }
        }

        /** A sealed file ends with its last line; an unsealed one may have been cut off by a crash. */
        private long whole(String path, long torn) throws RecordFault {
            if (sealed && torn > 0) {
                throw new RecordFault(path, "the last line is unfinished, " + torn + " bytes");
            }
            return torn;
        }

        private Checkpoints checkCheckpoints(Optional<BagInfo> info) throws IOException {
            Checkpoints checkpoints = new Checkpoints(record);
            checkpoints.verifyAll();
            Optional<RecordFault> difference = checkpoints.firstDifference();
            difference.ifPresent(fault -> findings.add(RecordCheck.FILE_CHANGED.at(fault.place(), fault.found())));
            Checkpoint last = checkpoints.last();
            if (!value(info, BagInfo.RECORD).equals(Optional.of(last.record()))
                    || !value(info, BagInfo.SIMULATED).equals(Optional.of(Boolean.toString(last.simulated())))) {
                findings.add(RecordCheck.BAG_INFO_BROKEN.at(BagInfo.FILE, "it contradicts the checkpoints"));
            }
            noteTail(SampleLines.FILE, last.samples().bytes());
            noteTail(JournalLines.FILE, last.journal().bytes());
            noteTail(Checkpoint.FILE, checkpoints.bytes());
            return checkpoints;
        }

        private void noteTail(String path, long covered) throws IOException {
            long tail = Files.size(record.resolve(path)) - covered;
            if (tail > 0) {
                findings.add(RecordCheck.TAIL_UNCOVERED.at(path, tail + " bytes are behind the last checkpoint"));
            }
        }

        private Optional<String> openingSha256() throws IOException {
            List<String> first = new ArrayList<>();
            if (files.contains(Checkpoint.FILE)) {
                Lines.each(record.resolve(Checkpoint.FILE), Checkpoint.FILE, (buffer, from, to) -> {
                    if (first.isEmpty()) {
                        first.add(Sha256.of(Arrays.copyOfRange(buffer, from, to)));
                    }
                });
            }
            return first.stream().findFirst();
        }

        private Optional<String> hash(String path) throws IOException {
            return files.contains(path) ? Optional.of(Sha256.of(record.resolve(path))) : Optional.empty();
        }
    }
}
