package org.plateaubench.record;

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
