package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.InvalidKeyException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Supplier;

/** Where a person's own key and trust file lie: key.pem (mode 600), public.pem to hand on, and trust.jsonl. */
public final class KeyHome {

    private static final String KEY = "key.pem";
    private static final String PUBLIC = "public.pem";
    private static final String TRUST = "trust.jsonl";
    private static final String LOCK = "keys.lock";

    private final Path folder;
    private final FileOps ops;

    /**
     * A place for keys; it need not exist yet.
     *
     * @param folder its folder
     */
    public KeyHome(Path folder) {
        this(folder, new FileOps());
    }

    KeyHome(Path folder, FileOps ops) {
        this.folder = folder;
        this.ops = ops;
    }

    /**
     * The usual place: PLATEAU_HOME, or plateau under XDG_CONFIG_HOME, or .config/plateau in the person's home.
     *
     * @param environment environment variables
     * @param userHome the person's home folder
     * @return that place
     */
    public static KeyHome usual(Map<String, String> environment, String userHome) {
        String own = environment.getOrDefault("PLATEAU_HOME", "");
        String config = environment.getOrDefault("XDG_CONFIG_HOME", "");
        if (!own.isEmpty()) {
            return new KeyHome(Path.of(own));
        }
        return new KeyHome(config.isEmpty() ? Path.of(userHome, ".config", "plateau") : Path.of(config, "plateau"));
    }

    /** {@return its folder} */
    public Path folder() {
        return folder;
    }

    /** {@return true if there is a key} */
    public boolean hasKey() {
        return Files.exists(folder.resolve(KEY), LinkOption.NOFOLLOW_LINKS);
    }

    /**
     * Tells whether the key asks for a passphrase, so that it can be asked before the bench is touched.
     *
     * @return true if it is encrypted
     * @throws IOException if the key cannot be read, or others may read it
     */
    public boolean asksForPassphrase() throws IOException {
        return SealingKey.asksForPassphrase(keyText());
    }

    private String keyText() throws IOException {
        Path file = folder.resolve(KEY);
        Modes.refuseUnlessOwnersAlone(file);
        return new String(Bag.bytes(folder, KEY), StandardCharsets.US_ASCII);
    }

    /**
     * Makes a key. An old one is never written over.
     *
     * @param passphrase printable ASCII; overwritten after use
     * @return the key
     * @throws FileAlreadyExistsException if there is a key
     * @throws InvalidKeyException if the passphrase cannot be used
     * @throws IOException if it cannot be written
     */
    public SealingKey create(Optional<char[]> passphrase) throws IOException, InvalidKeyException {
        SealingKey key = SealingKey.generate();
        String pem = passphrase.isPresent() ? key.pem(passphrase.get()) : key.pem();
        OneWriter turn = turn();
        try {
            keep(key, pem);
            return key;
        } finally {
            turn.close();
        }
    }

    /** Puts a key file in its place whole or not at all, so that none is ever empty or torn. */
    private void keep(SealingKey key, String pem) throws IOException {
        Path unfinished = ownersAlone();
        try {
            ops.write(unfinished, pem.getBytes(StandardCharsets.US_ASCII));
            ops.link(unfinished, folder.resolve(KEY));
        } finally {
            ops.delete(unfinished);
        }
        ops.forceFolder(folder);
        publish(key);
    }

    private void publish(SealingKey key) throws IOException {
        ops.writeWhole(folder.resolve(PUBLIC), key.signer().pem().getBytes(StandardCharsets.US_ASCII));
    }

    /** A new file that is the owner's alone from its first byte on. */
    private Path ownersAlone() throws IOException {
        return Files.createTempFile(folder, "new", FileOps.UNFINISHED, Modes.ownersAlone(folder, false));
    }

    /** The turn to write here: two first runs at once make one key and keep what the other trusts. */
    private OneWriter turn() throws IOException {
        if (!Files.isDirectory(folder)) {
            Files.createDirectories(folder.toAbsolutePath().getParent());
            try {
                Files.createDirectory(folder, Modes.ownersAlone(folder, true));
            } catch (FileAlreadyExistsException e) {
                // Made in the meantime by another program.
            }
        }
        return OneWriter.at(folder.resolve(LOCK), OneWriter.PATIENCE_MILLIS);
    }

    /**
     * Reads the key.
     *
     * @param passphrase asked only if the key is encrypted; its array is overwritten after use
     * @return the key
     * @throws InvalidKeyException if the file holds no key, or the passphrase does not open it
     * @throws IOException if it cannot be read, or others may read it
     */
    public SealingKey load(Supplier<char[]> passphrase) throws IOException, InvalidKeyException {
        return SealingKey.ofPem(keyText(), passphrase);
    }

    /**
     * A key for a run, and what to say about it.
     *
     * @param key the key
     * @param said one line to print if the key was made just now, or empty
     */
    public record RunKey(SealingKey key, Optional<String> said) {}

    /**
     * The key for a run: the one that is there, or a new one without a passphrase, which is trusted at once.
     *
     * @param name whose key a new one is
     * @param passphrase asked only if the key is encrypted; its array is overwritten after use
     * @return the key
     * @throws InvalidKeyException if the file holds no key, or the passphrase does not open it
     * @throws IOException if it cannot be read or written, or others may read it
     */
    public RunKey keyForRun(String name, Supplier<char[]> passphrase) throws IOException, InvalidKeyException {
        if (!hasKey()) {
            OneWriter turn = turn();
            try {
                if (!hasKey()) {
                    return made(name);
                }
            } finally {
                turn.close();
            }
        }
        SealingKey key = load(passphrase);
        if (!Files.exists(folder.resolve(PUBLIC))) {
            OneWriter turn = turn();
            try {
                publish(key);
            } finally {
                turn.close();
            }
        }
        return new RunKey(key, Optional.empty());
    }

    private RunKey made(String name) throws IOException {
        // Trusted before it is there: cut off in between, a key is trusted that nobody has, and the next run makes one.
        SealingKey made = SealingKey.generate();
        add(new TrustFile.Trusted(name, made.signer(), Optional.empty(), Optional.empty()));
        keep(made, made.pem());
        return new RunKey(
                made,
                Optional.of("made a signing key without a passphrase, " + folder.resolve(KEY) + ", and trusts it as '"
                        + name + "'; fingerprint " + made.signer().fingerprint()));
    }

    /**
     * Reads the trust file.
     *
     * @return whom the reader believes
     * @throws IOException if it cannot be read, a line is none, or others may write to it
     */
    public TrustFile trust() throws IOException {
        return TrustFile.read(folder.resolve(TRUST));
    }

    /**
     * Trusts a key.
     *
     * @param line the key with its name
     * @throws IOException if the trust file cannot be read or written
     */
    public void trust(TrustFile.Trusted line) throws IOException {
        OneWriter turn = turn();
        try {
            add(line);
        } finally {
            turn.close();
        }
    }

    private void add(TrustFile.Trusted line) throws IOException {
        TrustFile before = trust();
        List<TrustFile.Trusted> trusted = new ArrayList<>(before.trusted());
        trusted.add(line);
        write(new TrustFile(trusted, before.revoked()));
    }

    /**
     * Revokes a key: nothing that it signed is believed any more.
     *
     * @param fingerprint fingerprint of a key in the trust file, or the name of exactly one
     * @param at when
     * @param reason why, one line
     * @throws IllegalArgumentException if no key, or more than one, is called so
     * @throws IOException if the trust file cannot be read or written
     */
    public void revoke(String fingerprint, Instant at, String reason) throws IOException {
        OneWriter turn = turn();
        try {
            takeBack(fingerprint, at, reason);
        } finally {
            turn.close();
        }
    }

    private void takeBack(String fingerprint, Instant at, String reason) throws IOException {
        TrustFile before = trust();
        List<String> meant = before.trusted().stream()
                .filter(t ->
                        t.name().equals(fingerprint) || t.key().fingerprint().equals(fingerprint))
                .map(t -> t.key().fingerprint())
                .distinct()
                .toList();
        if (meant.size() != 1) {
            throw new IllegalArgumentException(
                    "'" + fingerprint + "' stands for " + meant.size() + " keys of the trust file; one is needed");
        }
        List<TrustFile.Revoked> revoked = new ArrayList<>(before.revoked());
        revoked.add(new TrustFile.Revoked(meant.get(0), at, reason));
        write(new TrustFile(before.trusted(), revoked));
    }

    private void write(TrustFile file) throws IOException {
        Path unfinished = ownersAlone();
        ops.write(unfinished, file.bytes());
        ops.move(unfinished, folder.resolve(TRUST));
        ops.forceFolder(folder);
    }
}
