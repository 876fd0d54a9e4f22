import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.serial.SerialLine;
import org.plateaubench.bench.serial.Silence;

/**
 * Round trips of one compound query over a pseudo-terminal: the line of this program against a bare C client
 * (round_trips.c), both asking the same instrument in this process, in turns. The budget is a ratio of at most 2.
 *
 * <pre>
 * mvn -q -DskipTests package
 * java -cp target/plateau.jar src/bench/serial/RoundTrips.java
 * </pre>
 *
 * Needs cc. With two cores or more, pin it to one (taskset -c 0) to see the cost of the code without that of waking
 * another core.
 */
final class RoundTrips {

    private static final String REQUEST = "MEAS:TEMP? (@1);:MEAS:TEMP? (@2);:MEAS:FREQ? (@11);:MEAS:FREQ? (@12);"
            + ":MEAS:FREQ? (@13);:MEAS:FREQ? (@21);:MEAS:VOLT? (@31);:SOUR1:PULS:DCYC?;:SOUR2:PULS:DCYC?";
    private static final byte[] ANSWER =
            Pty.line("28.437;31.250;30.125;30.500;29.875;90.125;0.012;60.00;100.00");
    private static final int TRIPS = 10_000;
    private static final int ROUNDS = 20;

    private RoundTrips() {}

    public static void main(String[] arguments) throws Exception {
        Path client = compile(Path.of("src", "bench", "serial", "round_trips.c"));
        Silence silence = new Silence();
        List<Double> real = new ArrayList<>();
        List<Double> simulated = new ArrayList<>();
        List<Double> bare = new ArrayList<>();
        try (Pty pty = Pty.open();
                Pty silent = Pty.open(silence)) {
            pty.serve(request -> ANSWER);
            silent.serve(request -> ANSWER);
            for (int round = 0; round < ROUNDS; round++) {
                real.add(line(pty.path(), Optional.empty()));
                simulated.add(line(silent.path(), Optional.of(silence)));
                bare.add(bare(client, pty.path()));
                System.out.printf(
                        "round %d: real time %.0f/s, simulated time %.0f/s, C %.0f/s%n",
                        round, real.get(round), simulated.get(round), bare.get(round));
            }
        }
        Files.delete(client);
        System.out.printf(
                "median: real time %.0f/s, simulated time %.0f/s, C %.0f/s; C is %.2f and %.2f times as fast%n",
                median(real),
                median(simulated),
                median(bare),
                median(bare) / median(real),
                median(bare) / median(simulated));
    }

    private static double line(String path, Optional<Silence> silence) throws Exception {
        try (SerialLine line = SerialLine.open(path, 115200, "\n", silence)) {
            long began = System.nanoTime();
            for (int i = 0; i < TRIPS; i++) {
                line.ask(REQUEST, 300);
            }
            return TRIPS * 1e9 / (System.nanoTime() - began);
        }
    }

    private static double bare(Path client, String path) throws Exception {
        Process process = new ProcessBuilder(client.toString(), path, Integer.toString(TRIPS), REQUEST).start();
        String seconds = new String(process.getInputStream().readAllBytes(), StandardCharsets.US_ASCII);
        if (process.waitFor() != 0) {
            throw new IOException("the C client ended with " + process.exitValue());
        }
        return TRIPS / Double.parseDouble(seconds.trim());
    }

    private static Path compile(Path source) throws Exception {
        Path program = Files.createTempFile("round-trips", "");
        Process compiler = new ProcessBuilder("cc", "-O2", "-o", program.toString(), source.toString())
                .inheritIO()
                .start();
        if (compiler.waitFor() != 0) {
            throw new IOException("cc could not compile " + source);
        }
        return program;
    }

    /** Where both ends happen to share a core, a round is two or three times as fast: the best is no measure. */
    private static double median(List<Double> values) {
        double[] sorted = values.stream().mapToDouble(Double::doubleValue).sorted().toArray();
        return (sorted[(sorted.length - 1) / 2] + sorted[sorted.length / 2]) / 2;
    }
}
