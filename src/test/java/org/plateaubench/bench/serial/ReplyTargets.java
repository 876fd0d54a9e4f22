package org.plateaubench.bench.serial;

import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Deque;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** What instruments may answer, whatever it is: numbers that are ones, or the reason why there is none. */
public final class ReplyTargets {

    private static final int TIMEOUT_MILLIS = 300;

    private ReplyTargets() {}

    /** Takes bytes as the lines that an SCPI instrument answers. */
    public static void scpi(byte[] bytes) {
        List<Question> questions = List.of(
                Question.of(BenchFiles.channel("coolant", "d", "MEAS:TEMP? (@1)", Unit.CELSIUS)),
                Question.of(BenchFiles.channel(
                        "fan-1", "d", "MEAS:FREQ? (@11)", "", Unit.RPM, OptionalInt.of(2), Optional.empty())),
                Question.of(BenchFiles.channel("leak", "d", "MEAS:VOLT? (@5)", Unit.VOLT)));
        ActuatorSpec actuator =
                new ActuatorSpec("fan-duty", "d", "SOUR1:PULS:DCYC {percent}", Optional.of("SOUR1:PULS:DCYC?"), 100);
        talk(new ScpiDialect(questions), questions, actuator, line(bytes));
    }

    /** Takes bytes as the lines that an instrument with a text protocol answers. */
    public static void text(byte[] bytes) {
        List<Question> questions = List.of(
                Question.of(BenchFiles.channel(
                        "level", "d", "L?", "^([0-9.]+) dBA$", Unit.DECIBEL, OptionalInt.empty(), Optional.empty())),
                Question.of(BenchFiles.channel(
                        "coolant",
                        "d",
                        "T?",
                        "",
                        Unit.CELSIUS,
                        OptionalInt.empty(),
                        Optional.of(new ChannelSpec.Range(5, 80)))));
        ActuatorSpec actuator = new ActuatorSpec("fan-duty", "d", "F{percent}", Optional.of("F?"), 100);
        talk(new TextDialect(questions, false), questions, actuator, line(bytes));
    }

    /** Takes bytes as the frames that a Modbus device answers, and as what comes in piece by piece. */
    public static void modbus(byte[] bytes) {
        List<Question> questions = List.of(
                Question.of(BenchFiles.channel("coolant", "d", "unit 17 input 30 int16 scale 0.1", Unit.CELSIUS)),
                Question.of(BenchFiles.channel("power", "d", "unit 17 holding 107 float32", Unit.WATT)));
        ActuatorSpec actuator = new ActuatorSpec(
                "fan-duty",
                "d",
                "unit 17 holding 40 uint16 scale 0.01 = {percent}",
                Optional.of("unit 17 holding 40 uint16 scale 0.01"),
                100);
        ModbusFraming framing = new ModbusFraming();
        StringBuilder received = new StringBuilder();
        String all = new String(bytes, StandardCharsets.ISO_8859_1);
        for (int i = 0; i < all.length(); i++) {
            received.append(all.charAt(i));
            int end = framing.end(received, i);
            require(end <= received.length(), "a frame ends behind what has arrived");
            if (end >= 0) {
                framing.content(received.substring(0, end));
                received.delete(0, Math.max(1, end));
            }
        }
        // The same bytes as messages whose checksum is right.
        Deque<String> answers = new ArrayDeque<>();
        for (int from = 0; from < bytes.length; ) {
            int length = Math.min(bytes.length - from, 1 + (bytes[from] & 0x3f));
            answers.add(java.util.HexFormat.of().formatHex(Arrays.copyOfRange(bytes, from, from + length)));
            from += length;
        }
        talk(
                new ModbusDialect(questions, List.of(actuator.set()), 115200),
                questions,
                actuator,
                new ScriptedLine(request -> answers.isEmpty() ? List.of() : List.of(answers.remove())));
    }

    private static ScriptedLine line(byte[] bytes) {
        Deque<String> lines = new ArrayDeque<>(List.of(new String(bytes, StandardCharsets.ISO_8859_1).split("\n", -1)));
        return new ScriptedLine(request -> {
            List<String> answer = new ArrayList<>();
            if (!lines.isEmpty()) {
                answer.add(lines.remove());
            }
            return answer;
        });
    }

    private static void talk(Dialect dialect, List<Question> questions, ActuatorSpec actuator, ScriptedLine line) {
        try {
            dialect.identify(new Exchange(line, TIMEOUT_MILLIS), "");
        } catch (LineException e) {
            require(!e.getMessage().isBlank(), "a failure without words");
        }
        try {
            List<Reading> readings = dialect.read(new Exchange(line, TIMEOUT_MILLIS));
            require(readings.size() == questions.size(), "other readings than were asked for");
            readings.forEach(ReplyTargets::check);
        } catch (LineException e) {
            require(!e.getMessage().isBlank(), "a failure without words");
        }
        try {
            SetResult result = dialect.set(new Exchange(line, TIMEOUT_MILLIS), Setting.of(actuator, 40));
            require(result.done() || !result.detail().isBlank(), "not done, and no word why");
        } catch (LineException e) {
            require(!e.getMessage().isBlank(), "a failure without words");
        }
        require(line.busyNanos() <= 3_000_000_000L, "it took longer than its timeouts");
    }

    private static void check(Reading reading) {
        if (reading.good() || reading.quality() == Quality.OUT_OF_RANGE) {
            require(
                    Double.isFinite(reading.value()) && Double.parseDouble(reading.text()) == reading.value(),
                    "a reading that is no number: " + reading);
        } else {
            require(
                    reading.text().isEmpty() && Double.isNaN(reading.value()),
                    "a number where there is none: " + reading);
        }
    }

    private static void require(boolean holds, String otherwise) {
        if (!holds) {
            throw new AssertionError(otherwise);
        }
    }
}
