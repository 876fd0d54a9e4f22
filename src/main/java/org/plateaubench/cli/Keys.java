package org.plateaubench.cli;

import java.io.Console;
import java.io.IOException;
import java.io.PrintWriter;
import java.security.InvalidKeyException;
import org.plateaubench.record.KeyHome;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.TrustFile;

/** The operator's own key. */
final class Keys {

    private Keys() {}

    /** {@return where the operator's key and trust file lie} */
    static KeyHome home() {
        return KeyHome.usual(System.getenv(), System.getProperty("user.home"));
    }

    /**
     * The key that seals a run, asked for its passphrase before any bench is touched; made if there is none.
     *
     * @param err told of a key that was made
     * @return the key
     * @throws Refusal if it cannot be used; nothing was sent to the bench
     */
    static SealingKey forRun(PrintWriter err) {
        try {
            KeyHome.RunKey key = home().keyForRun(System.getProperty("user.name"), () -> passphrase("passphrase: "));
            key.said().ifPresent(err::println);
            return key.key();
        } catch (InvalidKeyException e) {
            throw unusable(e.getMessage(), e);
        } catch (IOException e) {
            throw unusable(Refusal.why(e), e);
        }
    }

    private static Refusal unusable(String why, Exception e) {
        return new Refusal("the signing key cannot be used: " + why + "\nnothing was sent to the bench", e);
    }

    /**
     * Whom the operator believes.
     *
     * @return the trust file; an empty one if there is none
     * @throws Refusal if it cannot be read
     */
    static TrustFile trust() {
        try {
            return home().trust();
        } catch (IOException e) {
            throw new Refusal("the trust file cannot be used: " + Refusal.why(e), e);
        }
    }

    /**
     * Asks for a passphrase on the terminal.
     *
     * @param prompt what to ask
     * @return what was typed; the caller overwrites it
     * @throws Refusal without a terminal
     */
    static char[] passphrase(String prompt) {
        Console console = System.console();
        char[] typed = console == null ? null : console.readPassword(prompt);
        if (typed == null) {
            throw new Refusal(
                    "a passphrase is needed, and there is no terminal to ask for it; an unattended run needs a"
                            + " key without one");
        }
        return typed;
    }
}
