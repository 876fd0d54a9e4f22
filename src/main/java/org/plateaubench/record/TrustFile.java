package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.InvalidKeyException;
import java.time.DateTimeException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * Whom the reader believes: names for public keys, from when to when they may sign, and which were revoked. It is the
 * reader's own file; nothing in a record can add to it. On disk it is one JSON object a line:
 *
 * <pre>
 * {"trust":"name","key":"base64 of the public key","fingerprint":"hex","from":"2026-01-01T00:00:00Z","until":"..."}
 * {"revoke":"fingerprint","at":"2026-05-05T08:00:00Z","reason":"laptop stolen"}
 * </pre>
 *
 * @param trusted keys with their names
 * @param revoked keys that are not believed any more
 */
public record TrustFile(List<Trusted> trusted, List<Revoked> revoked) {

    /** Nobody is trusted. */
    public static final TrustFile EMPTY = new TrustFile(List.of(), List.of());

    /** Copies the lists. */
    public TrustFile {
        trusted = List.copyOf(trusted);
        revoked = List.copyOf(revoked);
    }

    /**
     * Whether a signer can be called so.
     *
     * @param name the name
     * @return false if it is blank, over 100 characters, or has control characters
     */
    public static boolean isName(String name) {
        return !name.isBlank() && name.length() <= 100 && name.chars().noneMatch(Character::isISOControl);
    }

    /**
     * A key with a name.
     *
     * @param name who holds it
     * @param key the key
     * @param from from when it may sign, if that is limited
     * @param until until when it may sign, if that is limited
     */
    public record Trusted(String name, SignerKey key, Optional<Instant> from, Optional<Instant> until) {

        /**
         * Checks the name.
         *
         * @throws IllegalArgumentException if it is empty, over 100 characters, or has control characters
         */
        public Trusted {
            if (!isName(name)) {
                throw new IllegalArgumentException("a signer's name is one line of 1 to 100 characters");
            }
        }

        private boolean holdsAt(Instant time) {
            return from.map(f -> !time.isBefore(f)).orElse(true)
                    && until.map(u -> time.isBefore(u)).orElse(true);
        }
    }

    /**
     * A key that is not believed any more.
     *
     * @param fingerprint its fingerprint
     * @param at when it was revoked
     * @param reason why
     */
    public record Revoked(String fingerprint, Instant at, String reason) {}

    /** How a signer stands. */
    public enum Verdict {
        /** Trusted at the time. */
        TRUSTED,
        /** In no line. */
        UNKNOWN,
        /** Trusted, but not at the time. */
        NOT_VALID,
        /** Revoked, whenever it signed: the time in a record is only what its signer says. */
        REVOKED
    }

    /**
     * How a signer stands, and what to call it.
     *
     * @param verdict how it stands
     * @param name its name; for an unknown key, the beginning of its fingerprint
     * @param detail what was found, in a few words; empty if trusted
     */
    public record Standing(Verdict verdict, String name, String detail) {}

    /**
     * Tells how a signer stands.
     *
     * @param key the key that signed
     * @param utc when it says that it signed, ISO 8601
     * @return how it stands
     */
    public Standing standing(SignerKey key, String utc) {
        String fingerprint = key.fingerprint();
        List<Trusted> lines = trusted.stream().filter(t -> t.key().equals(key)).toList();
        String name =
                lines.stream().map(Trusted::name).findFirst().orElse("unknown key " + fingerprint.substring(0, 16));
        for (Revoked line : revoked) {
            if (line.fingerprint().equals(fingerprint)) {
                return new Standing(Verdict.REVOKED, name, "revoked at " + line.at() + ": " + line.reason());
            }
        }
        if (lines.isEmpty()) {
            return new Standing(Verdict.UNKNOWN, name, "no line of the trust file has the key " + fingerprint);
        }
        Instant time;
        try {
            time = Instant.parse(utc);
        } catch (DateTimeException e) {
            return new Standing(Verdict.NOT_VALID, name, "'" + utc + "' is no time at which it could have signed");
        }
        return lines.stream().anyMatch(t -> t.holdsAt(time))
                ? new Standing(Verdict.TRUSTED, name, "")
                : new Standing(Verdict.NOT_VALID, name, "signed at " + utc + ", outside the time in which it may sign");
    }

    /**
     * Reads a trust file.
     *
     * @param file the file; if there is none, nobody is trusted
     * @return what it says
     * @throws RecordFault if a line is none, or others may write to the file
     * @throws IOException if it cannot be read
     */
    public static TrustFile read(Path file) throws IOException {
        if (!Files.exists(file, LinkOption.NOFOLLOW_LINKS)) {
            return EMPTY;
        }
        Modes.refuseWritableByOthers(file);
        List<Trusted> trusted = new ArrayList<>();
        List<Revoked> revoked = new ArrayList<>();
        int number = 0;
        for (String line : Files.readAllLines(file, StandardCharsets.UTF_8)) {
            number++;
            if (line.isBlank()) {
                continue;
            }
            try {
                Map<String, Object> fields = Json.read(line.getBytes(StandardCharsets.UTF_8));
                if (fields.containsKey("trust")) {
                    SignerKey key = SignerKey.ofBase64(Json.text(fields, "key"));
                    if (!key.fingerprint().equals(Json.text(fields, "fingerprint"))) {
                        throw new IllegalArgumentException("the fingerprint is not that of the key");
                    }
                    trusted.add(
                            new Trusted(Json.text(fields, "trust"), key, time(fields, "from"), time(fields, "until")));
                } else {
                    revoked.add(new Revoked(
                            Json.text(fields, "revoke"),
                            Instant.parse(Json.text(fields, "at")),
                            Json.text(fields, "reason")));
                }
            } catch (Json.JsonFault | InvalidKeyException | IllegalArgumentException | DateTimeException e) {
                throw new RecordFault(file + ":" + number, "no line of a trust file: " + e.getMessage());
            }
        }
        return new TrustFile(trusted, revoked);
    }

    private static Optional<Instant> time(Map<String, Object> fields, String name) throws Json.JsonFault {
        return fields.containsKey(name) ? Optional.of(Instant.parse(Json.text(fields, name))) : Optional.empty();
    }

    /** The file's bytes. */
    byte[] bytes() {
        StringBuilder text = new StringBuilder();
        for (Trusted line : trusted) {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("trust", line.name());
            fields.put("key", line.key().base64());
            fields.put("fingerprint", line.key().fingerprint());
            line.from().ifPresent(from -> fields.put("from", from.toString()));
            line.until().ifPresent(until -> fields.put("until", until.toString()));
            text.append(Json.line(fields)).append('\n');
        }
        for (Revoked line : revoked) {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("revoke", line.fingerprint());
            fields.put("at", line.at().toString());
            fields.put("reason", line.reason());
            text.append(Json.line(fields)).append('\n');
        }
        return text.toString().getBytes(StandardCharsets.UTF_8);
    }
}
