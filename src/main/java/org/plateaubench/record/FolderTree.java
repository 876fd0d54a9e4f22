package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.HashMap;
import java.util.Map;
import java.util.SortedMap;
import java.util.SortedSet;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.stream.Stream;

/** What lies in a folder, without following a link anywhere. */
final class FolderTree {

    private static final int DEEPEST = 16;
    private static final int MOST = 100_000;

    private final Consumer<Finding> findings;
    private final SortedMap<String, Long> files = new TreeMap<>();
    private final SortedSet<String> folders = new TreeSet<>();
    private final Map<String, String> folded = new HashMap<>();

    private FolderTree(Consumer<Finding> findings) {
        this.findings = findings;
    }

    /**
     * Lists a folder. Everything but files and folders, and every name that some file system could take for another's,
     * is a finding.
     */
    static FolderTree of(Path root, Consumer<Finding> findings) throws IOException {
        FolderTree tree = new FolderTree(findings);
        tree.list(root, "", 0);
        return tree;
    }

    /** The regular files with their sizes, by path with '/' between the steps. */
    SortedMap<String, Long> files() {
        return files;
    }

    /** The folders, by path with '/' at the end. */
    SortedSet<String> folders() {
        return folders;
    }

    private void list(Path folder, String prefix, int depth) throws IOException {
        if (depth > DEEPEST) {
            findings.accept(RecordCheck.NAME_REFUSED.at(prefix, "folders are nested deeper than " + DEEPEST));
            return;
        }
        try (Stream<Path> entries = Files.list(folder)) {
            for (Path entry : entries.sorted().toList()) {
                String path = prefix + entry.getFileName();
                if (folded.size() >= MOST) {
                    findings.accept(RecordCheck.NAME_REFUSED.at(prefix, "more than " + MOST + " files"));
                    return;
                }
                String refusal = Manifest.refusal(path);
                String twin = folded.put(Manifest.folded(path), path);
                BasicFileAttributes attributes =
                        Files.readAttributes(entry, BasicFileAttributes.class, LinkOption.NOFOLLOW_LINKS);
                if (!refusal.isEmpty()) {
                    findings.accept(RecordCheck.NAME_REFUSED.at(path, "the name " + refusal));
                } else if (twin != null) {
                    findings.accept(RecordCheck.NAME_REFUSED.at(
                            path, "some file systems take '" + twin + "' for the same name"));
                } else if (attributes.isDirectory()) {
                    folders.add(path + "/");
                    list(entry, path + "/", depth + 1);
                } else if (attributes.isRegularFile()) {
                    files.put(path, attributes.size());
                } else {
                    findings.accept(RecordCheck.LINK_REFUSED.at(
                            path, attributes.isSymbolicLink() ? "a symbolic link" : "neither a file nor a folder"));
                }
            }
        }
    }
}
