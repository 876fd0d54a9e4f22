package org.plateaubench.bench.sim;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class AnswerFormTest {

    @ParameterizedTest
    @CsvSource(
            delimiter = '!',
            value = {
                "^([0-9.]+) dBA$                     ! 31.5 dBA",
                "([-+]?\\d+\\.\\d)                   ! 31.5",
                "^T=(-?[0-9]+[.][0-9]{1}) ?C?$       ! T=31.5",
                "LAeq: *([0-9.]+)\\s*dB(?:\\(A\\))?  ! LAeq:31.5dB",
                "^(?:OK|ok),([0-9.]+);(.*)$          ! OK,31.5;",
                "^n([0-9]+)$                         ! n32",
                "^[^0-9]+(?<db>[0-9.]+)\\[dB\\]$     ! x31.5[dB]",
                "^\\+?([0-9.]+)|none$                ! 31.5",
            })
    void writesWhatThePatternFinds(String pattern, String expected) {
        AnswerForm form = AnswerForm.of(Optional.of(Pattern.compile(pattern)), 1, false);
        String answer = form.write(31.5);
        assertEquals(expected, answer);
        Matcher matcher = Pattern.compile(pattern).matcher(answer);
        assertTrue(matcher.find());
        assertTrue(Double.parseDouble(matcher.group(1)) >= 31.5);
    }

    @Test
    void withoutAPatternTheAnswerIsTheNumber() {
        assertEquals("31.500", AnswerForm.of(Optional.empty(), 3, false).write(31.5));
    }

    @Test
    void noNumberIsWrittenAsTheStandardHasIt() {
        assertEquals("9.91E37", AnswerForm.of(Optional.empty(), 3, false).write(Double.NaN));
    }

    @ParameterizedTest
    @ValueSource(strings = {"^(?=ab)c([0-9]+)$", "(?<=T=)([0-9.]+)", "\\Q{\\E([0-9.]+)"})
    void aPatternTooIntricateIsRefused(String pattern) {
        var refusal = assertThrows(
                IllegalArgumentException.class, () -> AnswerForm.of(Optional.of(Pattern.compile(pattern)), 1, false));
        assertTrue(refusal.getMessage().contains(pattern), refusal.getMessage());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {"^T=([-0-9,]+) C$ | T=-3,5 C", "(-?\\d+,\\d+) | -3,5", "([-0-9,E]+) | -3,5"})
    void anInstrumentWithADecimalCommaWritesOne(String pattern, String answer) {
        AnswerForm form = AnswerForm.of(Optional.of(Pattern.compile(pattern)), 1, true);
        assertEquals(answer, form.write(-3.5));
    }
}
