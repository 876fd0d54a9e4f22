package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.plateaubench.clock.Deadline;

/** The packaged program as a process of its own, with its keys in a folder of the test. */
final class Program implements AutoCloseable {

    private static final Path JAR = Path.of("target", "plateau.jar").toAbsolutePath();

    private final Process process;
    private final List<String> lines = new ArrayList<>();
    private final Thread reader;

    private Program(Process process) {
        this.process = process;
        this.reader = new Thread(this::read, "program output");
        reader.setDaemon(true);
        reader.start();
    }

    static Program start(Path home, String... args) throws IOException {
        assertTrue(Files.exists(JAR), JAR + " is not packaged");
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        command.add("-jar");
        command.add(JAR.toString());
        command.addAll(List.of(args));
        ProcessBuilder builder = new ProcessBuilder(command).redirectErrorStream(true);
        builder.environment().put("PLATEAU_HOME", home.resolve("plateau-home").toString());
        return new Program(builder.start());
    }

    private void read() {
        try (BufferedReader in =
                new BufferedReader(new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8))) {
            for (String line = in.readLine(); line != null; line = in.readLine()) {
                synchronized (lines) {
                    lines.add(line);
                    lines.notifyAll();
                }
            }
        } catch (IOException e) {
            // The process is gone, and with it what it had to say.
        }
    }

    /**
     * What README shows of the output of a command.
     *
     * @param holds text that only this block holds
     * @return its lines, without those that stand for what is left out and those that differ by key
     */
    static List<String> readme(String holds) throws IOException {
        String block = Stream.of(Files.readString(Path.of("README.md")).split("```"))
                .filter(each -> each.startsWith("text\n") && each.contains(holds))
                .findFirst()
                .orElseThrow();
        return block.lines()
                .skip(1)
                .filter(line -> !line.equals("...") && !line.contains(" sealed by "))
                .toList();
    }

    List<String> output() {
        synchronized (lines) {
            return List.copyOf(lines);
        }
    }

    /** Waits until a line holds the text, and gives the line. */
    String await(String text, int seconds) throws InterruptedException {
        Deadline deadline = Deadline.afterMillis(seconds * 1000L);
        synchronized (lines) {
            while (true) {
                for (String line : lines) {
                    if (line.contains(text)) {
                        return line;
                    }
                }
                if (deadline.passed() || !process.isAlive() && !reader.isAlive()) {
                    return fail("no line with '" + text + "' in:\n" + String.join("\n", lines));
                }
                lines.wait(50);
            }
        }
    }

    /** Sends a signal to this process, by its id. */
    void signal(String name) throws IOException, InterruptedException {
        new ProcessBuilder("kill", "-" + name, Long.toString(process.pid()))
                .start()
                .waitFor();
    }

    int exitWithin(int seconds) throws InterruptedException {
        assertTrue(process.waitFor(seconds, TimeUnit.SECONDS), () -> "still running:\n" + String.join("\n", output()));
        reader.join(5000);
        return process.exitValue();
    }

    /** Runs it to its end, four minutes at most; its output, if it ended with that exit code. */
    static List<String> ended(Path home, int exit, String... args) throws IOException, InterruptedException {
        try (Program program = start(home, args)) {
            assertEquals(exit, program.exitWithin(240), () -> String.join("\n", program.output()));
            return program.output();
        }
    }

    /** The one record below a folder. */
    static Path record(Path records) throws IOException {
        try (Stream<Path> found = Files.walk(records, 3)) {
            return found.filter(p -> p.getFileName().toString().equals("bagit.txt"))
                    .map(Path::getParent)
                    .findFirst()
                    .orElseThrow(() -> new IOException("no record below " + records));
        }
    }

    @Override
    public void close() {
        process.destroyForcibly();
    }
}
