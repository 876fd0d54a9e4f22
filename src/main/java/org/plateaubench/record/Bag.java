package org.plateaubench.record;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.function.Consumer;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Checks any BagIt bag (RFC 8493): structure, and every checksum of every manifest. A fetch.txt, links, and names that
 * mean something else on another system are refused. Files are read one after the other in bounded memory.
 */
public final class Bag {

    static final String BAGIT = "bagit.txt";

    /** The declaration: RFC 8493, section 2.1.1. */
    static final String BAGIT_LINES = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

    private static final Pattern BAGIT_TEXT =
            Pattern.compile("BagIt-Version: 1\\.0\\R" + "Tag-File-Character-Encoding: UTF-8\\R?");
    private static final Pattern MANIFEST = Pattern.compile("(tag)?manifest-([a-z0-9]+)\\.txt");
    private static final Pattern DATE = Pattern.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}");
    private static final String PAYLOAD = "data/";

    /** Tag files are small; a larger one is an attack on the memory. */
    private static final int LARGEST_TAG_FILE_BYTES = 1 << 26;

    private static final int BUFFER_BYTES = 1 << 17;

    /** Algorithms of manifests (RFC 8493, section 2.4) and their names in Java. */
    private static final SortedMap<String, String> ALGORITHMS =
            new TreeMap<>(Map.of("md5", "MD5", "sha1", "SHA-1", "sha256", "SHA-256", "sha512", "SHA-512"));

    private final Path root;
    private final Consumer<Finding> findings;
    private final FolderTree tree;
    private final SortedMap<String, Long> files;
    private final List<Listing> listings = new ArrayList<>();

    /** A manifest that was read. */
    private record Listing(String name, boolean ofTags, MessageDigest digest, Map<String, String> hashes) {}

    private Bag(Path root, Consumer<Finding> findings) throws IOException {
        this.root = root;
        this.findings = findings;
        this.tree = FolderTree.of(root, findings);
        this.files = tree.files();
    }

    /**
     * Checks a bag.
     *
     * @param root its folder
     * @param findings takes what is found, in a fixed order; nothing for a valid bag
     * @throws IOException if the folder cannot be read
     */
    public static void check(Path root, Consumer<Finding> findings) throws IOException {
        new Bag(root, findings).check();
    }

    /** The same; tells what lies in the folder. */
    static FolderTree treeChecked(Path root, Consumer<Finding> findings) throws IOException {
        Bag bag = new Bag(root, findings);
        bag.check();
        return bag.tree;
    }

    private void check() throws IOException {
        if (files.containsKey("fetch.txt")) {
            findings.accept(RecordCheck.FETCH_REFUSED.at("fetch.txt", "a list of files to fetch"));
        }
        Optional<String> bagit = tagFile(BAGIT);
        if (bagit.isPresent() && !BAGIT_TEXT.matcher(bagit.get()).matches()) {
            findings.accept(RecordCheck.BAGIT_BROKEN.at(
                    BAGIT, "two lines are needed, 'BagIt-Version: 1.0' and 'Tag-File-Character-Encoding: UTF-8'"));
        }
        readManifests();
        checkCoverage();
        checkHashes();
        if (files.containsKey(BagInfo.FILE)) {
            checkInfo();
        }
    }

    private Optional<String> tagFile(String name) throws IOException {
        if (!files.containsKey(name)) {
            findings.accept(RecordCheck.FILE_MISSING.at(name, "there is no such file"));
            return Optional.empty();
        }
        return Optional.of(new String(bytes(root, name), StandardCharsets.UTF_8));
    }

    /** The bytes of a file of bounded size, never through a link. */
    static byte[] bytes(Path root, String path) throws IOException {
        try (InputStream in = Files.newInputStream(root.resolve(path), LinkOption.NOFOLLOW_LINKS)) {
            byte[] bytes = in.readNBytes(LARGEST_TAG_FILE_BYTES);
            if (in.read() >= 0) {
                throw new RecordFault(path, "more than " + LARGEST_TAG_FILE_BYTES + " bytes");
            }
            return bytes;
        }
    }

    private void readManifests() throws IOException {
        for (String name : files.keySet()) {
            Matcher parts = MANIFEST.matcher(name);
            if (!parts.matches()) {
                continue;
            }
            String algorithm = ALGORITHMS.get(parts.group(2));
            if (algorithm == null) {
                findings.accept(RecordCheck.MANIFEST_BROKEN.at(
                        name, "the checksums are one of " + ALGORITHMS.keySet() + ", found " + parts.group(2)));
                continue;
            }
            try {
                MessageDigest digest = MessageDigest.getInstance(algorithm);
                Map<String, String> hashes = Manifest.read(bytes(root, name), name, 2 * digest.getDigestLength());
                boolean ofTags = parts.group(1) != null;
                listings.add(new Listing(name, ofTags, digest, hashes));
                for (String path : hashes.keySet()) {
                    if (path.startsWith(PAYLOAD) == ofTags
                            || ofTags && MANIFEST.matcher(path).matches() && path.startsWith("tag")) {
                        findings.accept(RecordCheck.MANIFEST_BROKEN.at(name, "'" + path + "' has no place in it"));
                    }
                }
            } catch (RecordFault e) {
                findings.accept(RecordCheck.MANIFEST_BROKEN.at(e.place(), e.found()));
            } catch (NoSuchAlgorithmException e) {
                throw new IllegalStateException("every Java platform has these checksums", e);
            }
        }
        if (files.keySet().stream().noneMatch(name -> name.matches("manifest-[a-z0-9]+\\.txt"))) {
            findings.accept(RecordCheck.FILE_MISSING.at(Manifest.PAYLOAD, "there is no payload manifest"));
        }
    }

    /** Every payload manifest lists every payload file, every tag manifest every payload manifest: sections 2.1.3, 2.2.1. */
    private void checkCoverage() {
        for (Listing listing : listings) {
            for (String path : listing.hashes.keySet()) {
                if (!files.containsKey(path)) {
                    findings.accept(
                            RecordCheck.FILE_MISSING.at(path, "it is listed in " + listing.name + " and is not there"));
                }
            }
            for (String path : files.keySet()) {
                boolean mustBeListed =
                        listing.ofTags ? path.matches("manifest-[a-z0-9]+\\.txt") : path.startsWith(PAYLOAD);
                if (mustBeListed && !listing.hashes.containsKey(path)) {
                    findings.accept(RecordCheck.FILE_NOT_LISTED.at(path, "it is not listed in " + listing.name));
                }
            }
        }
    }

    private void checkHashes() throws IOException {
        byte[] buffer = new byte[BUFFER_BYTES];
        for (String path : files.keySet()) {
            List<Listing> listed =
                    listings.stream().filter(l -> l.hashes.containsKey(path)).toList();
            if (listed.isEmpty()) {
                continue;
            }
            try (InputStream in = Files.newInputStream(root.resolve(path), LinkOption.NOFOLLOW_LINKS)) {
                for (int got = in.read(buffer); got >= 0; got = in.read(buffer)) {
                    for (Listing listing : listed) {
                        listing.digest.update(buffer, 0, got);
                    }
                }
            }
            for (Listing listing : listed) {
                String hash = Sha256.text(listing.digest.digest());
                if (!hash.equals(listing.hashes.get(path))) {
                    findings.accept(RecordCheck.FILE_CHANGED.at(
                            path, listing.name + " has " + listing.hashes.get(path) + ", the file has " + hash));
                }
            }
        }
    }

    private void checkInfo() throws IOException {
        BagInfo info;
        try {
            info = BagInfo.read(bytes(root, BagInfo.FILE));
        } catch (RecordFault e) {
            findings.accept(RecordCheck.BAG_INFO_BROKEN.at(e.place(), e.found()));
            return;
        }
        long payloadFiles = 0;
        long payloadBytes = 0;
        for (Map.Entry<String, Long> file : files.entrySet()) {
            if (file.getKey().startsWith(PAYLOAD)) {
                payloadFiles++;
                payloadBytes += file.getValue();
            }
        }
        List<String> oxums = info.values(BagInfo.OXUM);
        if (oxums.size() > 1) {
            findings.accept(RecordCheck.BAG_INFO_BROKEN.at(BagInfo.FILE, "Payload-Oxum comes more than once"));
        }
        for (String oxum : oxums) {
            if (!oxum.equals(payloadBytes + "." + payloadFiles)) {
                findings.accept(RecordCheck.BAG_INFO_BROKEN.at(
                        BagInfo.FILE,
                        "Payload-Oxum is '" + oxum + "', the payload has " + payloadBytes + "." + payloadFiles));
            }
        }
        for (String date : info.values(BagInfo.BAGGING_DATE)) {
            if (!DATE.matcher(date).matches()) {
                findings.accept(RecordCheck.BAG_INFO_BROKEN.at(
                        BagInfo.FILE, "Bagging-Date is YYYY-MM-DD, found '" + date + "'"));
            }
        }
    }
}
