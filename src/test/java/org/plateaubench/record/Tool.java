package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;

/** Runs a program of the machine, so that what we write is judged by others too. */
public final class Tool {

    /** What a program answered: its exit code, and its output and errors together. */
    public record Answer(int exit, String text) {}

    private Tool() {}

    /** Lets openssl judge an Ed25519 signature over a file; it answers with exit code 0 where it holds. */
    public static Answer verifySignature(Path folder, String key, String file, String signature)
            throws IOException, InterruptedException {
        return run(
                folder,
                "openssl",
                "pkeyutl",
                "-verify",
                "-pubin",
                "-inkey",
                key,
                "-rawin",
                "-in",
                file,
                "-sigfile",
                signature);
    }

    /** The same for the seal of a record. */
    public static Answer verifySeal(Path record) throws IOException, InterruptedException {
        return verifySignature(
                record, "signature/signer.pem", "tagmanifest-sha256.txt", "signature/tagmanifest-sha256.txt.sig");
    }

    /** Runs it to its end, twenty seconds at most. */
    public static Answer run(Path folder, String... command) throws IOException, InterruptedException {
        Process process = new ProcessBuilder(List.of(command))
                .directory(folder.toFile())
                .redirectErrorStream(true)
                .start();
        process.getOutputStream().close();
        String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        if (!process.waitFor(20, TimeUnit.SECONDS)) {
            process.destroyForcibly();
            throw new IOException(String.join(" ", command) + " did not end");
        }
        return new Answer(process.exitValue(), text);
    }
}
