package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Optional;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.sample.Quality;
import org.plateaubench.sample.Reading;
import org.plateaubench.units.Unit;

/** Regression tests of how an answer becomes a reading; each failure was met by somebody in a long unattended run. */
class QuestionTest {

    private static final Question TEMPERATURE = Question.of(BenchFiles.channel(
            "coolant", "c", "MEAS:TEMP? (@1)", "", Unit.CELSIUS, OptionalInt.empty(), Optional.of(new Range(5, 80))));

    private static final Question VOLTAGE = Question.of(BenchFiles.channel("leak", "c", "MEAS:VOLT? (@5)", Unit.VOLT));

    private static final Question LEVEL = Question.of(BenchFiles.channel(
            "level", "m", "L?", "^([0-9.]+) dBA$", Unit.DECIBEL, OptionalInt.empty(), Optional.empty()));

    /** The three number forms of IEEE 488.2 (NR1, NR2, NR3), as an instrument may write them. */
    @ParameterizedTest
    @CsvSource({
        "28, 28.000",
        "+28, 28.000",
        "28., 28.000",
        "28.4375, 28.438",
        "'  28.5 ', 28.500",
        "+2.84375E+01, 28.438",
        "2.84375e1, 28.438",
        "284375E-4, 28.438",
        "0028.5, 28.500"
    })
    void readsEveryNumberForm(String answer, String text) {
        assertEquals(Reading.recorded(text, Quality.GOOD), TEMPERATURE.reading(answer));
    }

    @ParameterizedTest
    @CsvSource({"-0.25, -0.250", ".5, 0.500", "-.5, -0.500", "-0.0001, 0.000", "1E-3, 0.001"})
    void readsSignsAndSmallNumbers(String answer, String text) {
        assertEquals(Reading.recorded(text, Quality.GOOD), VOLTAGE.reading(answer));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "9,99",
                "28,5",
                "28.5C",
                "28.5 C",
                "28.5 °C",
                "2\u00008.5",
                "28.5\u0000",
                "28.5\t",
                "2 8.5",
                "28.5.1",
                "--28",
                "+-28",
                "28.5e",
                "e5",
                ".",
                "+",
                "",
                " ",
                "ERR",
                "0x1C",
                "#H1C",
                "1/2",
                "28.5;",
                "28:5",
                "\u0662\u0668",
                "28.5\u00ff",
                "1_000"
            })
    void takesNothingElseForANumber(String answer) {
        assertEquals(Reading.none(Quality.GARBLED), TEMPERATURE.reading(answer));
    }

    /** SCPI-1999, volume 1, 7.2.1: 9.9E37 stands for infinity, -9.9E37 for minus infinity, 9.91E37 for not-a-number. */
    @ParameterizedTest
    @ValueSource(
            strings = {
                "9.9E37",
                "+9.90000E+37",
                "-9.9E37",
                "9.91E37",
                "9.91e+37",
                "9.89999977E37",
                "NAN",
                "INF",
                "NINF",
                "-INF",
                "nan",
                "1E300",
                "1E999"
            })
    void whatAnInstrumentWritesForNoNumberIsItsFault(String answer) {
        assertEquals(Reading.none(Quality.DEVICE_FAULT), TEMPERATURE.reading(answer));
        assertEquals(Reading.none(Quality.DEVICE_FAULT), VOLTAGE.reading(answer));
    }

    @ParameterizedTest
    @ValueSource(strings = {"-127", "-127.00", "-1.27E2"})
    void aLostProbeIsADeviceFaultButOnlyForATemperature(String answer) {
        assertEquals(Reading.none(Quality.DEVICE_FAULT), TEMPERATURE.reading(answer));
        assertEquals(Reading.recorded("-127.000", Quality.GOOD), VOLTAGE.reading(answer));
    }

    @ParameterizedTest
    @CsvSource({"5, good", "80, good", "4.9, out-of-range", "80.1, out-of-range", "-40, out-of-range"})
    void theValidRangeHoldsItsEnds(String answer, String quality) {
        assertEquals(quality, TEMPERATURE.reading(answer).quality().text());
    }

    @ParameterizedTest
    @CsvSource({"2, 30.5, 915.0", "2, 0, 0.0", "1, 15.25, 915.0", "4, 61, 915.0", "2, 66.667, 2000.0"})
    void aPulseFrequencyBecomesASpeed(int pulses, String answer, String rpm) {
        Question tachometer = Question.of(BenchFiles.channel(
                "fan-1", "c", "MEAS:FREQ? (@11)", "", Unit.RPM, OptionalInt.of(pulses), Optional.empty()));
        assertEquals(Reading.recorded(rpm, Quality.GOOD), tachometer.reading(answer));
    }

    @Test
    void aMatchTakesItsFirstGroup() {
        assertEquals(Reading.recorded("24.70", Quality.GOOD), LEVEL.reading("24.7 dBA"));
    }

    @ParameterizedTest
    @ValueSource(strings = {"24.7 dBC", "24.7dBA", "24,7 dBA", "2.4.7 dBA", "x24.7 dBA", "24.7 dBA\u0000", "OK"})
    void whatDoesNotMatchIsGarbled(String answer) {
        assertEquals(Reading.none(Quality.GARBLED), LEVEL.reading(answer));
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "([0-9.]+)    | 22,5",
                "([0-9.]+)    | -3.25 C",
                "([0-9.]+)    | 2.85E+01",
                "([0-9.]+)    | 9.91E37",
                "([0-9.]+)    | 1.022,5",
                "([0-9]+)     | 22.5",
                "([0-9]+)$    | T=22.5",
                "([0-9]+)$    | 2E+05",
                "([0-9.]+) C  | -3.25 C",
                "([0-9.]{1,3})| 122.5",
                "[0-9.]+      | 22,5",
                "T=([0-9.]+)  | T=22,5 C",
                "(A[0-9]+)?   | 22.5"
            })
    void aPatternThatTakesAPartOfANumberMakesNoneOfIt(String pattern, String answer) {
        Question question = Question.of(BenchFiles.channel(
                "t", "m", "T?", pattern.strip(), Unit.CELSIUS, OptionalInt.empty(), Optional.empty()));
        assertEquals(Reading.none(Quality.GARBLED), question.reading(answer));
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "([0-9.]+)     | 22.5C",
                "([0-9.]+)     | T= +22.5, ok",
                "^([0-9.]+),   | 22.5,31.25",
                ",([0-9.]+)$   | 31,22.5",
                "CH1-([0-9.]+) | CH1-22.5 E",
                "([-0-9.]+) C  | T 22.5 C 7",
                "T[0-9]=([0-9.]+) | T1=22.5"
            })
    void aPatternThatSaysWhatStandsBesideTheNumberIsFollowed(String pattern, String answer) {
        Question question = Question.of(BenchFiles.channel(
                "t", "m", "T?", pattern.strip(), Unit.CELSIUS, OptionalInt.empty(), Optional.empty()));
        assertEquals(Reading.recorded("22.500", Quality.GOOD), question.reading(answer));
    }

    @Test
    void aMatchWithoutAGroupIsTheNumberItself() {
        Question question = Question.of(
                BenchFiles.channel("v", "m", "V?", "[0-9.]+", Unit.VOLT, OptionalInt.empty(), Optional.empty()));
        assertEquals(Reading.recorded("1.250", Quality.GOOD), question.reading("U = 1.25 V"));
    }
}
