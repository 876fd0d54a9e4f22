package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Json;

/** A night run again by the packaged program, and what is refused before it. */
class ReplayIT {

    private static final String PLAN = "src/test/resources/plans/short-night.yaml";

    @TempDir
    private Path folder;

    private static void has(List<String> output, String part) {
        assertTrue(output.stream().anyMatch(line -> line.contains(part)), part + " in\n" + String.join("\n", output));
    }

    /** A simulated bench without effects of night and mount, whose set A loses so much of its air at low speed. */
    private Path bench(String name, String loss) throws IOException {
        String shipped = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8);
        return Files.writeString(
                folder.resolve(name),
                shipped.replaceAll("(night|mount)-effect: [0-9.]+ K", "$1-effect: 0 K")
                        .replace("level-slope: 50 dB }", "level-slope: 50 dB" + loss + " }"));
    }

    private List<String> replay(int exit, Path record, String records, String... more) throws Exception {
        return Program.ended(
                folder,
                exit,
                Stream.concat(
                                Stream.of("replay", "" + record, "--records", "" + folder.resolve(records)),
                                Stream.of(more))
                        .toArray(String[]::new));
    }

    @Test
    void aNightIsReproducedByItsLikeAndNotByAWorseFanSet() throws Exception {
        Path bench = bench("bench.yaml", "");
        Program.ended(
                folder,
                0,
                "run",
                PLAN,
                "--bench",
                "" + bench,
                "--fans",
                "protocols/fans/a.yaml",
                "--records",
                "" + folder.resolve("first"));
        Path first = Program.record(folder.resolve("first"));

        // the record has its own bench file
        List<String> again = replay(0, first, "again");
        has(again, "SIMULATED  reproduced: none of 2 is apart");
        Path replayed = Program.record(folder.resolve("again"));
        Map<?, ?> link = (Map<?, ?>) Json.read(Files.readAllBytes(replayed.resolve("data/provenance.json")))
                .get("replay-of");
        assertEquals(first.getFileName().toString(), link.get("record"));
        assertEquals(sha256(first.resolve("tagmanifest-sha256.txt")), link.get("tag_manifest_sha256"));
        assertEquals(sha256(first.resolve("signature/tagmanifest-sha256.txt.sig")), link.get("signature_sha256"));
        has(Program.ended(folder, 0, "retrace", "" + replayed), "identical");

        has(
                replay(1, first, "worse", "--bench", "" + bench("worse.yaml", ", airflow-loss: 10 %")),
                "SIMULATED  NOT reproduced: apart at 800 rpm");

        has(replay(2, first, "none", "--fans", "protocols/fans/b.yaml"), "the record is of fan set A, --fans names B");
        Files.writeString(first.resolve("data/passes.csv"), "x", StandardCharsets.UTF_8);
        has(replay(1, first, "none"), "fails its audit; nothing was sent to the bench");
        assertFalse(Files.exists(folder.resolve("none")), "a record was begun");
    }

    private static String sha256(Path file) throws Exception {
        return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(Files.readAllBytes(file)));
    }
}
