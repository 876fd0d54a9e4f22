import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.IntStream;
import java.util.stream.Stream;

/**
 * Whether people who look disturb a night: one run at ten samples a second in real time, in turns without clients and with
 * twenty that follow the live page, five of which stop to read. Prints how late ticks were in both kinds of turns, ticks
 * that were missed, and the heap after a full collection. Nothing fails here; a busy machine makes every figure worse, in
 * both kinds of turns.
 *
 * <pre>
 * mvn -q -DskipTests package
 * java src/bench/LiveClients.java          (four minutes; a number of turns may follow, 6 by default)
 * </pre>
 */
final class LiveClients {

    private static final int CLIENTS = 20;
    private static final int STALLED = 5;
    private static final int TURN_SECONDS = 30;
    private static final Pattern USED = Pattern.compile("def new generation.*?used (\\d+)K.*?tenured.*?used (\\d+)K", Pattern.DOTALL);

    /** A part of the run; ticks of its first two seconds do not count, while clients come and go. */
    private record Turn(boolean clients, int fromTick, int toTick, long heapKilobytes) {}

    private final Path work;
    private Process run;

    private LiveClients(Path work) {
        this.work = work;
    }

    public static void main(String[] arguments) throws Exception {
        Path work = Files.createTempDirectory("live-clients");
        LiveClients bench = new LiveClients(work);
        try {
            bench.go(arguments.length == 0 ? 6 : Integer.parseInt(arguments[0]));
        } finally {
            if (bench.run != null) {
                bench.run.destroy();
                bench.run.waitFor();
            }
            try (Stream<Path> paths = Files.walk(work)) {
                paths.sorted(Comparator.reverseOrder()).forEach(path -> path.toFile().delete());
            }
        }
    }

    private void go(int turns) throws Exception {
        int port = start();
        System.out.printf("%8s %10s %10s %14s%n", "turn", "clients", "ticks", "heap, kB");
        List<Turn> done = new ArrayList<>();
        for (int i = 0; i < turns; i++) {
            done.add(turn(port, i % 2 == 1));
            Turn turn = done.get(i);
            System.out.printf(
                    "%8d %10d %10d %14d%n",
                    i + 1, turn.clients() ? CLIENTS : 0, turn.toTick() - turn.fromTick(), turn.heapKilobytes());
        }
        run.destroy();
        run.waitFor();
        List<String> rows = Files.readAllLines(samples());
        System.out.printf("%n%16s %8s %8s %8s %8s %8s %8s%n", "", "ticks", "median", "99 %", "worst", "> 5 ms", "missed");
        report("without clients", rows, done, false);
        report("with clients", rows, done, true);
    }

    private int start() throws Exception {
        String bench = Files.readString(Path.of("hardware-notes", "benches", "simulated.yaml"))
                .replace("timeout: 300 ms", "timeout: 80 ms");
        String plan = Files.readString(Path.of("protocols", "quick-look.yaml"))
                .replaceFirst("sample-every: .*", "sample-every: 0.1 s")
                .replace("at-most: 2 min", "at-most: 61 min")
                .replace("slope: 60 K/h", "slope: 0.05 K/h");
        Path said = work.resolve("said.txt");
        ProcessBuilder builder = new ProcessBuilder(
                        "target/plateau",
                        "run",
                        Files.writeString(work.resolve("live.yaml"), plan).toString(),
                        "--bench",
                        Files.writeString(work.resolve("bench.yaml"), bench).toString(),
                        "--fans",
                        "protocols/fans/a.yaml",
                        "--pace",
                        "1",
                        "--watch",
                        "127.0.0.1:0",
                        "--records",
                        work.resolve("records").toString())
                .redirectErrorStream(true)
                .redirectOutput(said.toFile());
        builder.environment().putAll(Map.of("PLATEAU_HOME", work.resolve("home").toString()));
        run = builder.start();
        Pattern page = Pattern.compile("live page http://127.0.0.1:([0-9]+)/");
        for (int i = 0; i < 300; i++) {
            Matcher where = page.matcher(Files.readString(said));
            if (where.find()) {
                Thread.sleep(15_000); // until everything that a tick does is compiled
                return Integer.parseInt(where.group(1));
            }
            Thread.sleep(100);
        }
        throw new IOException("the run did not start: " + Files.readString(said));
    }

    private Path samples() throws IOException {
        try (Stream<Path> files = Files.walk(work.resolve("records"))) {
            return files.filter(f -> f.endsWith("samples.csv")).findFirst().orElseThrow();
        }
    }

    private Turn turn(int port, boolean withClients) throws Exception {
        List<Socket> clients = new ArrayList<>();
        for (int i = 0; withClients && i < CLIENTS; i++) {
            clients.add(follow(port, i >= STALLED));
        }
        Thread.sleep(2000);
        int from = lastTick();
        Thread.sleep(TURN_SECONDS * 1000L);
        int to = lastTick();
        for (Socket socket : clients) {
            socket.close();
        }
        Thread.sleep(500);
        return new Turn(withClients, from, to, heap());
    }

    /** A client; one that has stalled never takes anything out of its small buffer. */
    private static Socket follow(int port, boolean reads) throws IOException {
        Socket socket = new Socket();
        socket.setReceiveBufferSize(4096);
        socket.connect(new java.net.InetSocketAddress(InetAddress.getLoopbackAddress(), port));
        socket.getOutputStream()
                .write(("GET /events HTTP/1.1\r\nHost: 127.0.0.1:" + port + "\r\n\r\n").getBytes(StandardCharsets.US_ASCII));
        if (reads) {
            Thread reader = new Thread(() -> {
                byte[] buffer = new byte[8192];
                try (InputStream in = socket.getInputStream()) {
                    while (in.read(buffer) >= 0) {
                        // only read
                    }
                } catch (IOException e) {
                    // closed at the end of the turn
                }
            });
            reader.setDaemon(true);
            reader.start();
        }
        return socket;
    }

    private int lastTick() throws IOException {
        List<String> rows = Files.readAllLines(samples());
        String row = rows.get(rows.size() - 2); // the last may be half written
        return Integer.parseInt(row.substring(0, row.indexOf(',')));
    }

    /** Heap in use after a full collection, kB. */
    private long heap() throws Exception {
        jcmd("GC.run");
        Matcher used = USED.matcher(jcmd("GC.heap_info"));
        return used.find() ? Long.parseLong(used.group(1)) + Long.parseLong(used.group(2)) : -1;
    }

    private String jcmd(String command) throws Exception {
        Process process = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "jcmd").toString(), Long.toString(run.pid()), command)
                .redirectErrorStream(true)
                .start();
        String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        process.waitFor(10, TimeUnit.SECONDS);
        return said;
    }

    private static void report(String kind, List<String> rows, List<Turn> turns, boolean clients) {
        List<String> head = Arrays.asList(rows.get(0).split(","));
        int tick = head.indexOf("tick");
        int offset = head.indexOf("offset_ms");
        int missed = head.indexOf("missed");
        List<String[]> ticks = rows.stream()
                .skip(1)
                .map(row -> row.split(",", -1))
                .filter(row -> turns.stream()
                        .anyMatch(t -> t.clients() == clients
                                && Integer.parseInt(row[tick]) > t.fromTick()
                                && Integer.parseInt(row[tick]) <= t.toTick()))
                .toList();
        double[] late = ticks.stream()
                .mapToDouble(row -> Double.parseDouble(row[offset]) - 100 * Double.parseDouble(row[tick]))
                .sorted()
                .toArray();
        System.out.printf(
                Locale.ROOT,
                "%16s %8d %5.0f ms %5.0f ms %5.0f ms %8d %8d%n",
                kind,
                late.length,
                late[late.length / 2],
                late[(int) (late.length * 0.99)],
                late[late.length - 1],
                IntStream.range(0, late.length).filter(i -> late[i] > 5).count(),
                ticks.stream().mapToInt(row -> Integer.parseInt(row[missed])).sum());
    }
}
