package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Regression tests of the dialect of instruments that answer one line to one line. */
class TextDialectTest {

    private final TextDialect dialect = new TextDialect(
            List.of(
                    Question.of(BenchFiles.channel(
                            "level",
                            "m",
                            "L?",
                            "^([0-9.]+) dBA$",
                            Unit.DECIBEL,
                            OptionalInt.empty(),
                            Optional.empty())),
                    Question.of(BenchFiles.channel("volt", "m", "V?", Unit.VOLT))),
            false);

    private static Exchange exchange(Line line) {
        return new Exchange(line, 300);
    }

    @Test
    void asksOneQuestionAfterTheOther() throws Exception {
        ScriptedLine line = new ScriptedLine(request -> List.of(request.equals("L?") ? "24.7 dBA" : "1.25"));
        assertEquals(
                List.of("24.70", "1.250"),
                dialect.read(exchange(line)).stream().map(Reading::text).toList());
        assertEquals(List.of("L?", "V?"), line.sent);
    }

    @Test
    void whatSeveralChannelsAskWithTheSameWordsIsAskedOnce() throws Exception {
        TextDialect both = new TextDialect(
                List.of(
                        Question.of(BenchFiles.channel(
                                "a", "m", "T?", "A=([-0-9.]+)", Unit.CELSIUS, OptionalInt.empty(), Optional.empty())),
                        Question.of(BenchFiles.channel(
                                "b", "m", "T?", "B=([-0-9.]+)", Unit.CELSIUS, OptionalInt.empty(), Optional.empty()))),
                false);
        ScriptedLine line = new ScriptedLine(request -> List.of("A=22.5 B=-1.25"));
        assertEquals(
                List.of("22.500", "-1.250"),
                both.read(exchange(line)).stream().map(Reading::text).toList());
        assertEquals(List.of("T?"), line.sent);
    }

    @Test
    void aDecimalCommaIsReadWhereTheBenchFileDeclaresIt() throws Exception {
        List<Question> questions = List.of(
                Question.of(BenchFiles.channel(
                        "a", "m", "T?", "A=([-0-9.,]+)", Unit.CELSIUS, OptionalInt.empty(), Optional.empty())),
                Question.of(BenchFiles.channel(
                        "b", "m", "T?", "B=([-0-9.,]+)", Unit.CELSIUS, OptionalInt.empty(), Optional.empty())));
        ScriptedLine line = new ScriptedLine(request -> List.of("A=-2,5 B=1.022,5"));
        assertEquals(
                List.of(Reading.recorded("-2.500", Quality.GOOD), Reading.none(Quality.GARBLED)),
                new TextDialect(questions, true).read(exchange(line)));
        assertEquals(
                List.of(Reading.none(Quality.GARBLED), Reading.none(Quality.GARBLED)),
                new TextDialect(questions, false).read(exchange(line)));
    }

    @Test
    void setsOnAScaleOfItsOwnAndFindsTheNumberAmongWords() throws Exception {
        ActuatorSpec fans = new ActuatorSpec(
                "fan-duty",
                "m",
                "F{percent}",
                Optional.of("F?"),
                Optional.of(Pattern.compile("^F([0-9]+) of 255$")),
                OptionalInt.of(255),
                100.0);
        ScriptedLine line = new ScriptedLine(request -> request.equals("F?") ? List.of("F153 of 255") : List.of());
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "60.00 %", ""),
                dialect.set(exchange(line), Setting.of(fans, 60.0)));
        assertEquals(List.of("F153", "F?"), line.sent);
        assertEquals("F255", Setting.of(fans, 100.0).command());
        assertEquals(
                Quality.GOOD,
                Setting.readback(fans).orElseThrow().reading("F255 of 255").quality());
    }

    @Test
    void aQuestionWithoutAnswerTakesTheTimeOfTheOthersButNoMore() throws Exception {
        ScriptedLine line = new ScriptedLine(request -> request.equals("L?") ? List.of() : List.of("1.25"));
        assertEquals(
                List.of(Quality.MISSING, Quality.MISSING),
                dialect.read(exchange(line)).stream().map(Reading::quality).toList());
        assertEquals(300_000_000L, line.busyNanos());
    }

    @Test
    void passesOverLinesUntilTheFirstQuestionIsAnswered() throws Exception {
        ScriptedLine line = new ScriptedLine(request -> List.of("ready", "24.7 dBA"));
        assertEquals("", dialect.identify(exchange(line), ""));
        assertThrows(
                LineException.class,
                () -> dialect.identify(exchange(new ScriptedLine(request -> List.of("another", "meter"))), ""));
    }

    @Test
    void anIdentityThatIsWantedIsAskedForAsOthersDo() throws Exception {
        Deque<String> answers = new ArrayDeque<>(List.of("ready", "METER 7"));
        ScriptedLine line = new ScriptedLine(request -> List.of(answers.remove()));
        assertEquals("METER 7", dialect.identify(exchange(line), "METER 7"));
        assertEquals(List.of("*IDN?", "*IDN?"), line.sent);
        assertEquals("METER 8", dialect.identify(exchange(new ScriptedLine(request -> List.of("METER 8"))), "METER 7"));
    }

    @Test
    void setsPassingOverAnAcknowledgement() throws Exception {
        ActuatorSpec fans = new ActuatorSpec("fan-duty", "m", "FAN={percent}", Optional.of("FAN?"), 100.0);
        ScriptedLine line = new ScriptedLine(request -> List.of("OK", "60.0"));
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "60.00 %", ""),
                dialect.set(exchange(line), Setting.of(fans, 60.0)));
        assertEquals(List.of("FAN=60.00", "FAN?"), line.sent);
    }

    @Test
    void withoutAReadbackAnAnswerShowsThatTheCommandHasLeft() throws Exception {
        ActuatorSpec fans = new ActuatorSpec("fan-duty", "m", "FAN={percent}", Optional.empty(), 100.0);
        ScriptedLine line = new ScriptedLine(request -> List.of("24.7 dBA"));
        assertEquals(
                new SetResult("fan-duty", "60.00 %", true, "", ""),
                dialect.set(exchange(line), Setting.of(fans, 60.0)));
        assertEquals(List.of("FAN=60.00", "L?"), line.sent);
    }
}
