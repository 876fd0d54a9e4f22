package org.plateaubench.bench.serial;

import com.fazecast.jSerialComm.SerialPort;
import java.io.IOException;
import java.nio.file.DirectoryIteratorException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeSet;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.Function;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.benchfile.DeviceSpec.Parity;
import org.plateaubench.clock.Deadline;

/**
 * Finds serial ports, and asks what stands behind each who it is. Ports are asked at once, each at one baud rate after the
 * other until something answers *IDN?, and bounded in time: a board that resets when its port is opened has two seconds
 * and a half at each.
 */
public final class PortSearch {

    /** Rates that instruments and controllers commonly have, the most likely first. */
    public static final List<Integer> COMMON_BAUDS = List.of(115_200, 38_400, 9_600, 57_600, 19_200);

    private static final int ASK_MILLIS = 500;
    private static final int BAUD_MILLIS = 2500;
    private static final int CLOSE_MILLIS = 1500;
    private static final int UNIT_MILLIS = 300;
    /** Longer than the silence that parts frames at 1200 baud and above. */
    private static final int FRAMES_APART_MILLIS = 35;

    /** Some devices wait half a second for the answer of another unit that was asked, and hear nothing else meanwhile. */
    private static final int OTHERS_WAIT_MILLIS = 500;

    private static final int LINE_END_MILLIS = 100;
    private static final Path BY_ID = Path.of("/dev/serial/by-id");

    private PortSearch() {}

    /** What came of asking a port. */
    public enum State {
        /** Something answered *IDN?. */
        ANSWERS,
        /** Nothing that can be read came; it may need another question, another baud rate, or a switch. */
        SILENT,
        /** Somebody else uses it; it was not touched. */
        IN_USE,
        /** This user may not open it. */
        PERMISSION,
        /** It could not be opened. */
        UNUSABLE
    }

    /**
     * A port.
     *
     * @param path the name by which a bench file should call it
     * @param device what the system says that it is; may be empty
     */
    public record Port(String path, String device) {}

    /**
     * What came of asking a port.
     *
     * @param port the port
     * @param state what came of it
     * @param baud baud rate at which it answered; 0 if it did not
     * @param lineEnd what ends its lines, as bench files say it: "lf" or "cr"; empty if it did not answer
     * @param answer what it answered; empty if it did not
     * @param detail why there is no answer, one line; empty if there is one
     */
    public record Found(Port port, State state, int baud, String lineEnd, String answer, String detail) {

        /** {@return true if it answered as IEEE 488.2 says: four fields, the instrument speaks SCPI} */
        public boolean speaksScpi() {
            return state == State.ANSWERS && answer.split(",", -1).length == 4;
        }
    }

    /** {@return the ports of this computer, each once, under its most stable name; empty if there is none} */
    public static List<Port> ports() {
        SerialLibrary.load();
        Map<String, String> devices = new LinkedHashMap<>();
        for (SerialPort port : SerialPort.getCommPorts()) {
            devices.put(port.getSystemPortPath(), port.getDescriptivePortName());
        }
        List<Port> ports = new ArrayList<>();
        for (Path link : byId()) {
            try {
                String device = link.toRealPath().toString();
                ports.add(new Port(
                        link.toString(),
                        Optional.ofNullable(devices.remove(device)).orElse(device)));
            } catch (IOException e) {
                // Unplugged just now.
                continue;
            }
        }
        new TreeSet<>(devices.keySet()).forEach(path -> ports.add(new Port(path, devices.get(path))));
        return ports;
    }

    private static List<Path> byId() {
        List<Path> links = new ArrayList<>();
        try (DirectoryStream<Path> found = Files.newDirectoryStream(BY_ID)) {
            found.forEach(links::add);
        } catch (IOException | DirectoryIteratorException e) {
            // The folder is there only while something is plugged in.
            return List.of();
        }
        Collections.sort(links);
        return links;
    }

    /**
     * Asks ports who is there, all at once. Takes {@value #BAUD_MILLIS} ms for each baud rate, and a little.
     *
     * @param ports which
     * @param bauds baud rates to try, in order
     * @return one for each port, in their order
     */
    public static List<Found> ask(List<Port> ports, List<Integer> bauds) {
        return atOnce(ports, (long) bauds.size() * (BAUD_MILLIS + CLOSE_MILLIS), port -> ask(port, bauds));
    }

    /**
     * Asks ports for Modbus units: for their first holding register, which need not exist, since a refusal is an answer too.
     * All ports at once, each with even parity and with none. Takes 0.8 s for each unit that is silent, at each parity and
     * baud rate.
     *
     * @param ports which
     * @param bauds baud rates to try, in order, until a unit answers
     * @param units addresses to ask, 1 to 247
     * @return one for each port, in their order
     */
    public static List<Found> askModbus(List<Port> ports, List<Integer> bauds, List<Integer> units) {
        long boundMillis =
                (long) bauds.size() * 2 * (2L * units.size() * (UNIT_MILLIS + OTHERS_WAIT_MILLIS) + CLOSE_MILLIS);
        return atOnce(ports, boundMillis, port -> askModbus(port, bauds, units));
    }

    private static List<Found> atOnce(List<Port> ports, long boundMillis, Function<Port, Found> ask) {
        ExecutorService threads = Executors.newCachedThreadPool(task -> {
            Thread thread = new Thread(task, "port search");
            thread.setDaemon(true);
            return thread;
        });
        try {
            List<Future<Found>> asked = ports.stream()
                    .map(port -> threads.submit(() -> ask.apply(port)))
                    .toList();
            Deadline deadline = Deadline.afterMillis(boundMillis);
            List<Found> found = new ArrayList<>();
            for (int i = 0; i < ports.size(); i++) {
                found.add(inTime(asked.get(i), ports.get(i), deadline));
            }
            return found;
        } finally {
            threads.shutdownNow();
        }
    }

    private static Found inTime(Future<Found> asked, Port port, Deadline deadline) {
        try {
            return asked.get(deadline.leftMillis(), TimeUnit.MILLISECONDS);
        } catch (TimeoutException e) {
            return nothing(port, State.UNUSABLE, "its driver does not come back");
        } catch (ExecutionException e) {
            throw new IllegalStateException(port.path() + " could not be asked", e.getCause());
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return nothing(port, State.UNUSABLE, "interrupted");
        }
    }

    private static Found nothing(Port port, State state, String detail) {
        return new Found(port, state, 0, "", "", detail);
    }

    private static Found ask(Port port, List<Integer> bauds) {
        int bytes = 0;
        for (int baud : bauds) {
            AnyLine framing = new AnyLine();
            try (SerialLine line = SerialLine.open(port.path(), baud, Parity.NONE, 1, framing, Optional.empty())) {
                Optional<String> answer = answer(line);
                if (answer.isPresent()) {
                    return new Found(port, State.ANSWERS, baud, lineEnd(line, framing), answer.get(), "");
                }
            } catch (LineException e) {
                return refused(port, e);
            }
            bytes += framing.bytes;
        }
        return nothing(
                port,
                State.SILENT,
                bytes == 0
                        ? "no byte came: it is off, at another baud rate, or answers other questions only, as Modbus does"
                        : "something came, but nothing that can be read: another baud rate, or Modbus");
    }

    private static Found refused(Port port, LineException e) {
        State state = switch (e.kind()) {
            case IN_USE -> State.IN_USE;
            case PERMISSION -> State.PERMISSION;
            default -> State.UNUSABLE;
        };
        return nothing(port, state, e.getMessage());
    }

    private static Found askModbus(Port port, List<Integer> bauds, List<Integer> units) {
        for (int baud : bauds) {
            for (Parity parity : List.of(Parity.EVEN, Parity.NONE)) {
                try (SerialLine line =
                        SerialLine.open(port.path(), baud, parity, 1, new ModbusFraming(), Optional.empty())) {
                    List<String> answering = answering(line, units);
                    if (!answering.isEmpty()) {
                        String answer = "Modbus, parity " + parity.name().toLowerCase(Locale.ROOT) + ", unit "
                                + String.join(", ", answering);
                        return new Found(port, State.ANSWERS, baud, "", answer, "");
                    }
                } catch (LineException e) {
                    return refused(port, e);
                }
            }
        }
        return nothing(port, State.SILENT, "none of " + units.size() + " Modbus units answered");
    }

    private static List<String> answering(SerialLine line, List<Integer> units) throws LineException {
        List<String> answering = new ArrayList<>();
        for (int unit : units) {
            String address = HexFormat.of().toHexDigits((byte) unit);
            try {
                if (line.ask(address + "0300000001", UNIT_MILLIS).startsWith(address)) {
                    answering.add(Integer.toString(unit));
                }
                Deadline.afterMillis(FRAMES_APART_MILLIS).await();
            } catch (LineException e) {
                if (e.kind() != Kind.TIMEOUT) {
                    throw e;
                }
                Deadline.afterMillis(OTHERS_WAIT_MILLIS).await();
            }
        }
        return answering;
    }

    private static Optional<String> answer(SerialLine line) throws LineException {
        Deadline deadline = Deadline.afterMillis(BAUD_MILLIS);
        while (!deadline.passed()) {
            try {
                String answer = line.ask("*IDN?", ASK_MILLIS).trim();
                while (!readable(answer)) {
                    answer = line.listen(ASK_MILLIS).trim();
                }
                return Optional.of(answer);
            } catch (LineException e) {
                if (e.kind() != Kind.TIMEOUT) {
                    throw e;
                }
            }
        }
        return Optional.empty();
    }

    /** Neither the garbage of a wrong baud rate nor the echo of the question. */
    private static boolean readable(String answer) {
        return answer.length() >= 2 && !answer.equals("*IDN?") && answer.chars().allMatch(c -> c >= ' ' && c < 0x7f);
    }

    private static String lineEnd(SerialLine line, AnyLine framing) {
        try {
            // What comes behind a carriage return may still be on its way.
            line.listen(LINE_END_MILLIS);
        } catch (LineException e) {
            // Usually nothing more comes.
        }
        return framing.lineFeeds ? "lf" : "cr";
    }

    /** Lines with whatever end. */
    private static final class AnyLine implements Framing {

        private boolean lineFeeds;
        private int bytes;

        @Override
        public String framed(String request) {
            return request + "\r\n";
        }

        @Override
        public int end(StringBuilder received, int searched) {
            for (int i = searched; i < received.length(); i++) {
                bytes++;
                char c = received.charAt(i);
                lineFeeds |= c == '\n';
                if (c == '\n' || c == '\r') {
                    return i + 1;
                }
            }
            return -1;
        }

        @Override
        public String content(String frame) {
            return frame.substring(0, frame.length() - 1);
        }
    }
}
