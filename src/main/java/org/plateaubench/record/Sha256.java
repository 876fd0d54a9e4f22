package org.plateaubench.record;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;

/** SHA-256 (FIPS 180-4), written as 64 lower-case hexadecimal digits. */
final class Sha256 {

    /** What stands for the hash of a line before the first. */
    static final String ZEROS = "0".repeat(64);

    private Sha256() {}

    static MessageDigest digest() {
        try {
            return MessageDigest.getInstance("SHA-256");
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java platform has SHA-256", e);
        }
    }

    static String of(byte[] bytes) {
        return text(digest().digest(bytes));
    }

    /** The hash of a file, never through a link. */
    static String of(Path file) throws IOException {
        MessageDigest digest = digest();
        feed(digest, file);
        return text(digest.digest());
    }

    /** Lets a digest go on over a file, never through a link; returns how many bytes that were. */
    static long feed(MessageDigest digest, Path file) throws IOException {
        byte[] buffer = new byte[1 << 16];
        long bytes = 0;
        try (InputStream in = Files.newInputStream(file, LinkOption.NOFOLLOW_LINKS)) {
            for (int got = in.read(buffer); got >= 0; got = in.read(buffer)) {
                digest.update(buffer, 0, got);
                bytes += got;
            }
        }
        return bytes;
    }

    /** The hash of what went into a digest so far; the digest can go on. */
    static String soFar(MessageDigest digest) {
        try {
            return text(((MessageDigest) digest.clone()).digest());
        } catch (CloneNotSupportedException e) {
            throw new IllegalStateException("the platform's SHA-256 can be copied", e);
        }
    }

    static String text(byte[] hash) {
        return HexFormat.of().formatHex(hash);
    }
}
