package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.function.Function;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.serial.LineException.Kind;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Regression tests of the dialect of IEEE 488.2 and SCPI-1999. */
class ScpiDialectTest {

    private static final String IDENTITY = "EXAMPLE,FANCTL-2,0042,1.3";
    private static final String NONE = "0,\"No error\"";
    private static final ActuatorSpec FANS =
            new ActuatorSpec("fan-duty", "c", "SOUR1:PULS:DCYC {percent}", Optional.of("SOUR1:PULS:DCYC?"), 100.0);
    private static final ActuatorSpec BLIND =
            new ActuatorSpec("fan-duty", "c", "SOUR1:PULS:DCYC {percent}", Optional.empty(), 100.0);

    private final ScpiDialect dialect = new ScpiDialect(List.of(
            Question.of(BenchFiles.channel("coolant", "c", "MEAS:TEMP? (@2)", Unit.CELSIUS)),
            Question.of(BenchFiles.channel("leak", "c", ":MEAS:VOLT? (@5)", Unit.VOLT)),
            Question.of(BenchFiles.channel("done", "c", "*OPC?", Unit.ONE)),
            Question.of(BenchFiles.channel(
                    "fan-1", "c", "MEAS:FREQ? (@11)", "", Unit.RPM, OptionalInt.of(2), Optional.empty()))));

    private static ScriptedLine line(Function<String, List<String>> instrument) {
        return new ScriptedLine(instrument);
    }

    private static Exchange exchange(Line line) {
        return new Exchange(line, 300);
    }

    @Test
    void asksEverythingInOneCompoundQueryFromTheRoot() throws Exception {
        ScriptedLine line = line(request -> List.of("28.5;0.012;1;30.5"));
        List<Reading> readings = dialect.read(exchange(line));
        assertEquals(List.of("MEAS:TEMP? (@2);:MEAS:VOLT? (@5);*OPC?;:MEAS:FREQ? (@11)"), line.sent);
        assertEquals(
                List.of("28.500", "0.012", "1.000", "915.0"),
                readings.stream().map(Reading::text).toList());
    }

    @Test
    void oneBadValueLeavesTheOthersGood() throws Exception {
        List<Reading> readings = dialect.read(exchange(line(request -> List.of("9.91E37;0,5;1;30.5"))));
        assertEquals(
                List.of(Quality.DEVICE_FAULT, Quality.GARBLED, Quality.GOOD, Quality.GOOD),
                readings.stream().map(Reading::quality).toList());
    }

    @Test
    void tooFewOrTooManyAnswersMakeAllOfThemGarbled() throws Exception {
        for (String answer : List.of("28.5;0.012;1", "28.5;0.012;1;30.5;7;1", "28.5")) {
            assertEquals(
                    List.of(Quality.GARBLED, Quality.GARBLED, Quality.GARBLED, Quality.GARBLED),
                    dialect.read(exchange(line(request -> List.of(answer)))).stream()
                            .map(Reading::quality)
                            .toList(),
                    answer);
        }
        assertEquals(
                Quality.GARBLED,
                dialect.read(exchange(line(request -> List.of("28.5;;1;30.5;28.5"))))
                        .get(1)
                        .quality());
    }

    @Test
    void aQuestionThatSpoilsTheAnswersToAllIsFoundByAskingEachByItself() throws Exception {
        Deque<String> errors = new ArrayDeque<>();
        ScriptedLine line = line(request -> {
            switch (request) {
                case "MEAS:TEMP? (@2)":
                    return List.of("28,5");
                case ":MEAS:VOLT? (@5)":
                    errors.add("-113,\"Undefined header\"");
                    return List.of();
                case "SYST:ERR?":
                    return List.of(errors.isEmpty() ? "0,\"No error\"" : errors.remove());
                default:
                    return List.of("1");
            }
        });
        assertEquals(
                "\"MEAS:TEMP? (@2)\" by itself brings \"28,5\", \":MEAS:VOLT? (@5)\" by itself brings no answer and"
                        + " -113,\"Undefined header\"",
                dialect.spoiling(() -> exchange(line)));
        assertEquals("", dialect.spoiling(() -> exchange(line(request -> List.of("1")))));
    }

    @Test
    void everyOtherTickAsksTheFirstQuestionTwice() throws Exception {
        ScriptedLine line =
                line(request -> List.of(request.endsWith("(@2)") ? "28.5;0.012;1;30.5;28.5" : "28.5;0.012;1;30.5"));
        for (int tick = 0; tick < 4; tick++) {
            assertEquals("28.500", dialect.read(exchange(line)).get(0).text());
        }
        String once = "MEAS:TEMP? (@2);:MEAS:VOLT? (@5);*OPC?;:MEAS:FREQ? (@11)";
        String twice = once + ";:MEAS:TEMP? (@2)";
        assertEquals(List.of(once, twice, once, twice), line.sent);
    }

    @Test
    void passesOverWhatABootLoaderSendsBeforeTheIdentity() throws Exception {
        ScriptedLine line = line(request -> request.equals("*IDN?")
                ? List.of("\u0000\u00ffBoot 2.1", "28.5;0.012;1;30.5", " " + IDENTITY + " ")
                : List.of(NONE));
        assertEquals(IDENTITY, dialect.identify(exchange(line), IDENTITY));
    }

    @Test
    void anIdentityWithGarbageInFrontIsAskedForAgain() throws Exception {
        Deque<String> answers = new ArrayDeque<>(List.of("@x~" + IDENTITY, IDENTITY));
        ScriptedLine line = line(request -> List.of(request.equals("*IDN?") ? answers.remove() : NONE));
        assertEquals(IDENTITY, dialect.identify(exchange(line), IDENTITY));
        assertEquals(List.of("*IDN?", "*IDN?", "SYST:ERR?"), line.sent);
    }

    @Test
    void namesAnotherInstrument() throws Exception {
        ScriptedLine line = line(request -> List.of(request.equals("*IDN?") ? "OTHER,PSU,1,2" : NONE));
        assertEquals("OTHER,PSU,1,2", dialect.identify(exchange(line), IDENTITY));
    }

    @Test
    void drainsTheErrorQueueAfterTheIdentity() throws Exception {
        Deque<String> queue =
                new ArrayDeque<>(List.of("-113,\"Undefined header\"", "-222,\"Data out of range\"", NONE));
        ScriptedLine line = line(request -> List.of(request.equals("*IDN?") ? IDENTITY : queue.remove()));
        dialect.identify(exchange(line), IDENTITY);
        assertEquals(List.of("*IDN?", "SYST:ERR?", "SYST:ERR?", "SYST:ERR?"), line.sent);
    }

    @Test
    void anErrorQueueThatNeverEndsDoesNotHoldItUp() throws Exception {
        ScriptedLine line = line(request -> List.of(request.equals("*IDN?") ? IDENTITY : "-350,\"Queue overflow\""));
        assertEquals(IDENTITY, dialect.identify(exchange(line), IDENTITY));
    }

    @Test
    void anInstrumentWithoutAnErrorQueueIsNotAskedForItAgain() throws Exception {
        ScriptedLine line = line(request -> request.equals("*IDN?") ? List.of(IDENTITY) : List.of());
        assertEquals(
                Kind.TIMEOUT,
                assertThrows(LineException.class, () -> dialect.identify(exchange(line), IDENTITY))
                        .kind());
        assertEquals(IDENTITY, dialect.identify(exchange(line), IDENTITY));
        assertEquals(List.of("*IDN?", "SYST:ERR?", "*IDN?"), line.sent);
    }

    @Test
    void setsAndReadsBack() throws Exception {
        ScriptedLine line = line(request -> request.endsWith("?") ? List.of("59.69") : List.of());
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "59.69 %", ""),
                dialect.set(exchange(line), Setting.of(FANS, 60.0)));
        assertEquals(List.of("SOUR1:PULS:DCYC 60.00", "SOUR1:PULS:DCYC?"), line.sent);
    }

    @Test
    void aReadbackThatDiffersIsNotDoneAndCarriesTheInstrumentsErrors() throws Exception {
        Deque<String> queue = new ArrayDeque<>(List.of("-222,\"Data out of range\"", NONE));
        ScriptedLine line = line(request -> request.equals("SYST:ERR?")
                ? List.of(queue.remove())
                : request.endsWith("?") ? List.of("100.00") : List.of());
        assertEquals(
                new SetResult(
                        "fan-duty",
                        "60.00 %",
                        false,
                        "100.00 %",
                        "asked for 60.00 %, read back 100.00 %; the instrument reports -222,\"Data out of range\""),
                dialect.set(exchange(line), Setting.of(FANS, 60.0)));
    }

    @Test
    void aSettingThatTakesItsTimeIsReadBackOnceItIsComplete() throws Exception {
        Deque<String> readbacks = new ArrayDeque<>(List.of("100.00", "60.00"));
        ScriptedLine line = line(request -> switch (request) {
            case "SYST:ERR?" -> List.of(NONE);
            case "*OPC?" -> List.of("1");
            default -> request.endsWith("?") ? List.of(readbacks.remove()) : List.of();
        });
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "60.00 %", ""),
                dialect.set(exchange(line), Setting.of(FANS, 60.0)));
        assertEquals(
                List.of("SOUR1:PULS:DCYC 60.00", "SOUR1:PULS:DCYC?", "SYST:ERR?", "*OPC?", "SOUR1:PULS:DCYC?"),
                line.sent);
    }

    @Test
    void aGarbledReadbackIsNotDone() throws Exception {
        ScriptedLine line = line(request ->
                request.equals("SYST:ERR?") ? List.of(NONE) : request.endsWith("?") ? List.of("60,00") : List.of());
        assertEquals(
                new SetResult("fan-duty", "60.00 %", false, "", "read back: garbled"),
                dialect.set(exchange(line), Setting.of(FANS, 60.0)));
    }

    @Test
    void withoutAReadbackTheErrorQueueDecides() throws Exception {
        Deque<String> queue =
                new ArrayDeque<>(List.of("-100,\"old\"", NONE, NONE, NONE, "-113,\"Undefined header\"", NONE));
        ScriptedLine line = line(request -> request.equals("SYST:ERR?") ? List.of(queue.remove()) : List.of());
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "", ""),
                dialect.set(exchange(line), Setting.of(BLIND, 60.0)));
        assertEquals(
                new SetResult("fan-duty", "60.00 %", false, "", "the instrument reports -113,\"Undefined header\""),
                dialect.set(exchange(line), Setting.of(BLIND, 60.0)));
    }

    @Test
    void setsASupplyToAPower() throws Exception {
        SupplySpec supply = new SupplySpec("c", "SOUR3:POW {watt}", Optional.of("SOUR3:POW?"), Optional.empty());
        ScriptedLine line = line(request ->
                request.endsWith("POW?") ? List.of("198.4") : request.equals("SYST:ERR?") ? List.of(NONE) : List.of());
        assertEquals(
                new SetResult("heat", "200.00 W", true, "198.40 W", ""),
                dialect.set(exchange(line), Setting.of(supply, 200.0)));
        assertEquals("SOUR3:POW 200.00", line.sent.get(0));
        assertEquals(
                new SetResult("heat", "0.00 W", false, "198.40 W", "asked for 0.00 W, read back 198.40 W"),
                dialect.set(exchange(line), Setting.of(supply, 0.0)));
    }

    @Test
    void everythingTogetherStaysWithinOneTimeout() {
        ScriptedLine line = line(request -> List.of("no identity", "nor this"));
        assertThrows(LineException.class, () -> dialect.identify(exchange(line), IDENTITY));
        assertEquals(300, line.busyNanos() / 1_000_000L);
    }
}
