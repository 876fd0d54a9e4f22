package org.plateaubench.bench.serial;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Deque;
import java.util.List;
import java.util.Optional;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.units.Unit;

/** A controller for tests: two values, one duty, an identity, and a list of faults, one for each of the next requests. */
final class TestController implements Pty.Instrument {

    static final String IDENTITY = "EXAMPLE,FANCTL-2,0042,1.3";
    static final String COMPOUND = "MEAS:TEMP? (@1);:MEAS:TEMP? (@2);:SOUR1:PULS:DCYC?";
    /** What is asked every other tick. */
    static final String COMPOUND_AND_FIRST = COMPOUND + ";:MEAS:TEMP? (@1)";

    static final ActuatorSpec FANS = new ActuatorSpec(
            "fan-duty", "controller", "SOUR1:PULS:DCYC {percent}", Optional.of("SOUR1:PULS:DCYC?"), 100.0);

    private static final byte[] NOTHING = new byte[0];

    /** What goes wrong with one request. */
    enum Fault {
        NONE,
        SILENT,
        HALF,
        GARBAGE,
        LATE,
        UNPLUG
    }

    final String identity;
    private final List<String> heard = new ArrayList<>();
    private final Deque<Fault> faults = new ArrayDeque<>();
    private Pty pty;
    private byte[] late = NOTHING;
    private String temperatures = "22.1;28.4";
    private String duty = "100.00";

    TestController(String identity) {
        this.identity = identity;
    }

    /** {@return a bench file with one such controller} */
    static BenchFile file(String port) {
        return BenchFiles.of(
                List.of(BenchFiles.serial("controller", port, DeviceSpec.Dialect.SCPI, IDENTITY)),
                List.of(
                        BenchFiles.channel("ambient", "controller", "MEAS:TEMP? (@1)", Unit.CELSIUS),
                        BenchFiles.channel("coolant", "controller", "MEAS:TEMP? (@2)", Unit.CELSIUS)),
                List.of(FANS));
    }

    /** Puts the controller behind a new pseudo-terminal, as plugging it in does. */
    synchronized Pty plug(Optional<Silence> silence) throws IOException {
        pty = silence.isPresent() ? Pty.open(silence.get()) : Pty.open();
        pty.serve(this);
        return pty;
    }

    synchronized void next(Fault... coming) {
        faults.addAll(List.of(coming));
    }

    synchronized void temperatures(String text) {
        temperatures = text;
    }

    synchronized void brownOut() {
        duty = "100.00";
    }

    synchronized String duty() {
        return duty;
    }

    /** {@return what was heard since this was last asked} */
    synchronized List<String> heard() {
        List<String> copy = List.copyOf(heard);
        heard.clear();
        return copy;
    }

    @Override
    public synchronized byte[] answer(String request) {
        heard.add(request);
        byte[] answer = rightAnswer(request);
        Fault fault = faults.isEmpty() ? Fault.NONE : faults.remove();
        byte[] before = late;
        late = NOTHING;
        return switch (fault) {
            case NONE -> joined(before, answer);
            case SILENT -> NOTHING;
            case HALF -> Arrays.copyOf(answer, answer.length / 2);
            case GARBAGE -> "\u0000\u00ff?\n".getBytes(StandardCharsets.ISO_8859_1);
            case LATE -> {
                late = answer;
                yield NOTHING;
            }
            case UNPLUG -> {
                pty.close();
                yield NOTHING;
            }
        };
    }

    private static byte[] joined(byte[] first, byte[] second) {
        byte[] both = Arrays.copyOf(first, first.length + second.length);
        System.arraycopy(second, 0, both, first.length, second.length);
        return both;
    }

    private byte[] rightAnswer(String request) {
        if (request.startsWith("SOUR1:PULS:DCYC ")) {
            duty = request.substring("SOUR1:PULS:DCYC ".length());
            return NOTHING;
        }
        return switch (request) {
            case "*IDN?" -> Pty.line(identity);
            case "SYST:ERR?" -> Pty.line("0,\"No error\"");
            case "SOUR1:PULS:DCYC?" -> Pty.line(duty);
            case COMPOUND -> Pty.line(temperatures + ";" + duty);
            case COMPOUND_AND_FIRST ->
                Pty.line(temperatures + ";" + duty + ";" + temperatures.split(";")[0]);
            default -> NOTHING;
        };
    }
}
