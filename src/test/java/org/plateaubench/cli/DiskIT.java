package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.plateaubench.Wants;

/** The packaged program on a small disk that has too little room, fills up in a night, and is read-only in the end. */
@Execution(ExecutionMode.CONCURRENT)
class DiskIT {

    /** In a mount namespace of its own, so that the disk is gone with it. What is looked at is copied out. */
    private static final String SCRIPT = """
            set -eu
            plan=$1; plateau() { c=0; "$JAVA" -XX:TieredStopAtLevel=1 -XX:+UseSerialGC -jar "$JAR" "$@" || c=$?; }
            cd "$2"; mkdir disk; mount -t tmpfs -o size=32m small disk

            plateau run "$plan" --records disk >whole.txt 2>&1; echo $c >>whole.txt
            cp -a disk/simulated whole

            head -c 30m /dev/zero >disk/other
            plateau run "$plan" --records disk >refused.txt 2>&1; echo $c >>refused.txt
            ls disk disk/simulated >refused.list
            rm disk/other

            sed 's/repeats: 1/repeats: 3/' "$plan" >longer.yaml
            { plateau run longer.yaml --records disk --pace 300 >filled.txt 2>&1; echo $c >>filled.txt; } & night=$!
            until grep -q 'stage soak, pass 3.1' filled.txt; do kill -0 $night; sleep 0.05; done
            head -c 64m /dev/zero >disk/other 2>/dev/null || true
            wait $night
            cp -a disk/simulated/*-2 filled

            plateau resume disk/simulated/*-2 >still-full.txt 2>&1; echo $c >>still-full.txt
            rm disk/other
            plateau resume disk/simulated/*-2 >resumed.txt 2>&1; echo $c >>resumed.txt
            cp -a disk/simulated resumed

            mount -o remount,ro disk
            plateau run "$plan" --records disk >read-only.txt 2>&1; echo $c >>read-only.txt
            plateau audit disk/simulated >audit.txt 2>&1; echo $c >>audit.txt
            """;

    private static final Path PLAN = Path.of("src/test/resources/plans/shortest-night.yaml");

    @TempDir
    private Path folder;

    @Test
    void aDiskThatIsFullOrReadOnlyLosesNothingAndLeavesTheBenchSafe() throws Exception {
        Wants.program("unshare");
        Wants.that(mayMount(), "leave to mount a file system in a namespace of its own");
        ProcessBuilder builder = new ProcessBuilder(
                        "unshare",
                        "-rm",
                        "sh",
                        "-c",
                        SCRIPT,
                        "sh",
                        PLAN.toAbsolutePath().toString(),
                        folder.toString())
                .redirectErrorStream(true);
        builder.environment()
                .put(
                        "JAVA",
                        Path.of(System.getProperty("java.home"), "bin", "java").toString());
        builder.environment()
                .put("JAR", Path.of("target", "plateau.jar").toAbsolutePath().toString());
        builder.environment().put("PLATEAU_HOME", folder.resolve("plateau-home").toString());
        Process script = builder.start();
        String said = new String(script.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertTrue(script.waitFor(90, TimeUnit.SECONDS), said);
        assertEquals(0, script.exitValue(), said);

        assertSaid("whole.txt", 0, "complete: all passes done");
        assertSaid(
                "refused.txt",
                2,
                "there is too little room for the record in disk: \\d\\.\\d MB are free, the night can need \\d\\.\\d MB",
                "no record was begun; nothing was set");
        assertEquals(
                List.of("disk:", "other", "simulated", "", "disk/simulated:"),
                Files.readAllLines(folder.resolve("refused.list")).subList(0, 5));
        assertEquals(
                1,
                Files.readAllLines(folder.resolve("refused.list")).stream()
                        .filter(name -> name.startsWith("2026"))
                        .count(),
                "nothing was begun");
        assertSaid(
                "filled.txt",
                3,
                "made safe: heat off",
                "made safe: fan-duty 100.00 %",
                "made safe: pump-duty 100.00 %",
                "is kept but NOT sealed: disk/simulated/.*: No space left on device; 0\\.0 MB are free there",
                "'resume' goes on from the last checkpoint");
        assertSaid(
                "still-full.txt",
                2,
                "No space left on device; 0\\.0 MB are free there",
                "nothing was set; the record can still be gone on with");
        assertSaid("resumed.txt", 0, "complete: all passes done", "sealed by");
        assertSaid("read-only.txt", 2, "disk/simulated/.*: Read-only file system", "nothing was set");
        assertSaid("audit.txt", 0, "holds", "holds");
        assertNothingOfACheckpointIsLost();
        assertTheSealedRecordStayed();
    }

    private static boolean mayMount() throws IOException, InterruptedException {
        Process mount = new ProcessBuilder("unshare", "-rm", "mount", "-t", "tmpfs", "none", "/mnt")
                .redirectErrorStream(true)
                .start();
        mount.getInputStream().readAllBytes();
        return mount.waitFor() == 0;
    }

    private void assertSaid(String file, int exit, String... patterns) throws IOException {
        List<String> lines = Files.readAllLines(folder.resolve(file));
        String all = String.join("\n", lines);
        assertEquals(Integer.toString(exit), lines.get(lines.size() - 1), all);
        for (String pattern : patterns) {
            assertTrue(Pattern.compile(pattern).matcher(all).find(), pattern + " in " + file + ":\n" + all);
        }
    }

    /** What the last checkpoint before the disk was full stands for is in the sealed record, byte for byte. */
    private void assertNothingOfACheckpointIsLost() throws IOException {
        List<Path> records;
        try (var all = Files.list(folder.resolve("resumed"))) {
            records = all.filter(p -> p.toString().endsWith("-2")).toList();
        }
        assertEquals(1, records.size(), records.toString());
        List<String> checkpoints = Files.readAllLines(folder.resolve("filled/data/checkpoints.jsonl"));
        assertTrue(checkpoints.size() > 1, "no checkpoint before the disk was full");
        for (String file : List.of("samples", "journal")) {
            String last = checkpoints.get(checkpoints.size() - 1);
            int bytes = Integer.parseInt(last.replaceAll(".*\"" + file + "_bytes\":(\\d+).*", "$1"));
            String name = "data/" + file + (file.equals("samples") ? ".csv" : ".jsonl");
            byte[] before = Files.readAllBytes(folder.resolve("filled").resolve(name));
            byte[] after = Files.readAllBytes(records.get(0).resolve(name));
            assertTrue(bytes > 0 && before.length >= bytes, name);
            assertEquals(-1, Arrays.mismatch(Arrays.copyOf(before, bytes), Arrays.copyOf(after, bytes)), name);
        }
    }

    private void assertTheSealedRecordStayed() throws IOException {
        Path whole = Program.record(folder.resolve("whole"));
        Path after = folder.resolve("resumed").resolve(whole.getFileName());
        try (var files = Files.walk(whole)) {
            for (Path file : files.filter(Files::isRegularFile).toList()) {
                assertEquals(-1, Files.mismatch(file, after.resolve(whole.relativize(file))), file.toString());
            }
        }
    }
}
