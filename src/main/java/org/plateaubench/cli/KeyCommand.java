package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.InvalidKeyException;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.Arrays;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.record.KeyHome;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.SignerKey;
import org.plateaubench.record.TrustFile;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;

/** Keys that seal records, and whom to believe. */
@Command(
        name = "key",
        mixinStandardHelpOptions = true,
        footer = {
            "",
            "Examples:",
            "  plateau key create --name \"A. Technician\"",
            "  plateau key trust public.pem --name \"B. Reviewer\""
        },
        description = "Key and trust file lie in PLATEAU_HOME, or else in the folder for settings of this user.",
        subcommands = {KeyCommand.Create.class, KeyCommand.Trust.class, KeyCommand.Revoke.class})
final class KeyCommand implements Callable<Integer> {

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        spec.commandLine().usage(spec.commandLine().getOut());
        return Main.USAGE;
    }

    private PrintWriter out() {
        return spec.commandLine().getOut();
    }

    /** Before a key is made, which would stay behind. */
    private static void checkName(String name) {
        if (!TrustFile.isName(name)) {
            throw new Refusal("--name: found '" + name
                    + "'; needs one line of 1 to 100 characters. No key was made, and the trust file is unchanged.");
        }
    }

    private static Refusal refused(IOException e) {
        return new Refusal("the key's folder " + Keys.home().folder() + " cannot be used: " + Refusal.why(e), e);
    }

    /** Makes a key. */
    @Command(
            name = "create",
            mixinStandardHelpOptions = true,
            footer = {"", "Examples:", "  plateau key create --name \"A. Technician\" --passphrase"},
            header = "Makes an Ed25519 key and trusts it.")
    static final class Create implements Callable<Integer> {

        @ParentCommand
        private KeyCommand parent;

        @Option(names = "--name", paramLabel = "NAME", description = "whose key it is; default: the user's name")
        private String name = System.getProperty("user.name");

        @Option(
                names = "--passphrase",
                description = "protect it with a passphrase, asked on the terminal; an unattended resume then needs"
                        + " somebody to type it")
        private boolean withPassphrase;

        @Override
        public Integer call() {
            checkName(name);
            KeyHome home = Keys.home();
            try {
                SealingKey key = home.create(withPassphrase ? Optional.of(newPassphrase()) : Optional.empty());
                home.trust(new TrustFile.Trusted(name, key.signer(), Optional.empty(), Optional.empty()));
                parent.out().println("made " + home.folder().resolve("key.pem") + ", trusted as '" + name + "'");
                parent.out().println("fingerprint " + key.signer().fingerprint());
                parent.out()
                        .println("hand on " + home.folder().resolve("public.pem") + " to whoever checks your records");
                return Main.DONE;
            } catch (FileAlreadyExistsException e) {
                throw new Refusal("there is a key already, in " + home.folder()
                        + "; it stays as it is. Another place can" + " be named by PLATEAU_HOME.");
            } catch (InvalidKeyException e) {
                throw new Refusal(e.getMessage() + "; no key was made");
            } catch (IOException e) {
                throw refused(e);
            }
        }

        private static char[] newPassphrase() {
            char[] first = Keys.passphrase("new passphrase: ");
            char[] again = Keys.passphrase("once more: ");
            boolean same = Arrays.equals(first, again);
            Arrays.fill(again, ' ');
            if (!same) {
                throw new Refusal("the two passphrases differ; no key was made");
            }
            return first;
        }
    }

    /** Trusts a key. */
    @Command(
            name = "trust",
            mixinStandardHelpOptions = true,
            footer = {"", "Examples:", "  plateau key trust public.pem --name \"B. Reviewer\""},
            header = "Believes records that a key has sealed.")
    static final class Trust implements Callable<Integer> {

        @ParentCommand
        private KeyCommand parent;

        @Parameters(paramLabel = "PUBLIC-KEY", description = "the public.pem of whoever seals")
        private Path file;

        @Option(names = "--name", paramLabel = "NAME", required = true, description = "whose key it is")
        private String name;

        @Option(names = "--from", paramLabel = "UTC", description = "believed from, such as 2026-01-01T00:00:00Z")
        private String from;

        @Option(names = "--until", paramLabel = "UTC", description = "believed until")
        private String until;

        @Override
        public Integer call() {
            checkName(name);
            Optional<Instant> begin = time(from);
            Optional<Instant> end = time(until);
            if (begin.isPresent() && end.isPresent() && !begin.get().isBefore(end.get())) {
                throw new Refusal("--until: found " + until + "; needs a time after --from, " + from
                        + "; the trust file is unchanged");
            }
            SignerKey key = key();
            try {
                Keys.home().trust(new TrustFile.Trusted(name, key, begin, end));
            } catch (IOException e) {
                throw refused(e);
            }
            parent.out().println("trusts " + name + ", fingerprint " + key.fingerprint());
            parent.out().println("compare the fingerprint with its owner over another way than the one it came by");
            return Main.DONE;
        }

        private SignerKey key() {
            try {
                return SignerKey.ofPem(Files.readString(file, StandardCharsets.US_ASCII));
            } catch (InvalidKeyException e) {
                throw new Refusal(file + ": " + e.getMessage() + "; the trust file is unchanged");
            } catch (IOException e) {
                throw new Refusal(file + " cannot be read: " + Refusal.why(e) + "; the trust file is unchanged");
            }
        }

        private static Optional<Instant> time(String text) {
            try {
                return Optional.ofNullable(text).map(Instant::parse);
            } catch (DateTimeParseException e) {
                throw new Refusal("'" + text + "' is no time in UTC; one looks like 2026-01-01T00:00:00Z");
            }
        }
    }

    /** Revokes a key. */
    @Command(
            name = "revoke",
            mixinStandardHelpOptions = true,
            footer = {"", "Examples:", "  plateau key revoke \"B. Reviewer\" --reason \"key lost\""},
            header = "Believes nothing any more that a key has sealed.")
    static final class Revoke implements Callable<Integer> {

        @ParentCommand
        private KeyCommand parent;

        @Parameters(paramLabel = "FINGERPRINT-OR-NAME", description = "a key of the trust file")
        private String key;

        @Option(names = "--reason", paramLabel = "TEXT", defaultValue = "", description = "why, one line")
        private String reason;

        @Override
        public Integer call() {
            try {
                Keys.home().revoke(key, new SystemClock().wall(), reason);
                parent.out().println("revoked " + key);
                return Main.DONE;
            } catch (IllegalArgumentException e) {
                throw new Refusal(e.getMessage() + "; the trust file is unchanged");
            } catch (IOException e) {
                throw refused(e);
            }
        }
    }
}
