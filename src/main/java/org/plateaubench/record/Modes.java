package org.plateaubench.record;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.PosixFilePermission;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.EnumSet;
import java.util.Set;

/** Who may read and write a file, where the file system knows (POSIX); elsewhere nothing is checked. */
final class Modes {

    private Modes() {}

    /** The attributes that make a new file or folder the owner's alone. */
    static FileAttribute<?>[] ownersAlone(Path near, boolean folder) {
        return knows(near)
                ? new FileAttribute<?>[] {
                    PosixFilePermissions.asFileAttribute(
                            PosixFilePermissions.fromString(folder ? "rwx------" : "rw-------"))
                }
                : new FileAttribute<?>[0];
    }

    /** A secret is the owner's alone, mode 600. */
    static void refuseUnlessOwnersAlone(Path file) throws IOException {
        refuse(
                file,
                EnumSet.complementOf(EnumSet.of(PosixFilePermission.OWNER_READ, PosixFilePermission.OWNER_WRITE)),
                "others may read or write it; chmod 600 it, and think of the key as lost if others could read it");
    }

    static void refuseWritableByOthers(Path file) throws IOException {
        refuse(
                file,
                EnumSet.of(PosixFilePermission.GROUP_WRITE, PosixFilePermission.OTHERS_WRITE),
                "others may write to it; chmod 644 it after a look at what it says");
    }

    private static void refuse(Path file, Set<PosixFilePermission> refused, String found) throws IOException {
        if (knows(file) && Files.getPosixFilePermissions(file).stream().anyMatch(refused::contains)) {
            throw new RecordFault(file.toString(), found);
        }
    }

    private static boolean knows(Path path) {
        return path.getFileSystem().supportedFileAttributeViews().contains("posix");
    }
}
