package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.plateaubench.record.RecordWriter.SetAside;

/**
 * Takes what a crash left behind the last checkpoint out of the files of a record, and keeps it beside them: as evidence,
 * never as data. A tail is on the disk under its new name before it is cut off.
 */
final class TornTails {

    private static final Pattern NAME = Pattern.compile("torn-([0-9]{1,6})-.*");

    private final Path record;
    private final FileOps ops;
    private final int number;

    TornTails(Path record, FileOps ops) throws IOException {
        this.record = record;
        this.ops = ops;
        this.number =
                1 + all().stream().mapToInt(each -> numberOf(each.file())).max().orElse(0);
    }

    private static int numberOf(String name) {
        Matcher parts = NAME.matcher(name);
        return parts.matches() ? Integer.parseInt(parts.group(1)) : 0;
    }

    /** Cuts a file to so many bytes and keeps the rest, if there is one. */
    void cut(String path, long bytes) throws IOException {
        Path file = record.resolve(path);
        if (Files.size(file) == bytes) {
            return;
        }
        try (var in = Files.newInputStream(file, LinkOption.NOFOLLOW_LINKS)) {
            in.skipNBytes(bytes);
            String name = "torn-" + number + "-" + file.getFileName();
            ops.writeWhole(file.resolveSibling(name), in.readAllBytes());
        }
        ops.writeAt(file, bytes, new byte[0]);
    }

    /** All tails that are kept, in order of their names. */
    List<SetAside> all() throws IOException {
        List<SetAside> tails = new ArrayList<>();
        try (Stream<Path> files = Files.list(record.resolve(RecordFolder.DATA))) {
            for (Path file : files.sorted().toList()) {
                String name = file.getFileName().toString();
                if (numberOf(name) > 0 && !name.endsWith(FileOps.UNFINISHED)) {
                    tails.add(new SetAside(name, Files.size(file), Sha256.of(file)));
                }
            }
        }
        return tails;
    }
}
