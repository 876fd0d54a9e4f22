package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class SampleLinesTest {

    private static final String GOOD = "5,5003,0,2026-11-24T22:10:05.000Z,soak,p.1,22.050,-0.5,";

    private static SampleLines lines() throws RecordFault {
        SampleLines lines = new SampleLines(List.of("ambient", "coolant"), List.of("soak", "dwell"));
        check(lines, lines.header());
        check(lines, "4,4003,0,2026-11-24T22:10:04.000Z,dwell,,22.050,28,");
        return lines;
    }

    private static void check(SampleLines lines, String text) throws RecordFault {
        byte[] bytes = (text + "\n").getBytes(StandardCharsets.ISO_8859_1);
        lines.check(bytes, 0, bytes.length - 1);
    }

    @Test
    void aCheckedRowIsWrittenTheSame() throws RecordFault {
        SampleLines lines = lines();
        for (String text : List.of(
                GOOD,
                "6,5003,2,2026-11-24T22:10:05.000Z,dwell,,,,ambient=missing;coolant=gone",
                "8,6000,0,2026-11-24T22:11:05.000Z,dwell,,-1.5,-20,",
                "9,7000,0,2026-11-24T22:10:05.000Z,dwell,,22,99.0,coolant=out-of-range")) {
            check(lines, text);
            RecordedNight.Row row = lines.row();
            assertEquals(text, lines.row(row.sample(), row.utc(), row.stage(), row.pass()));
        }
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "5,|4,|tick 4 at 5003 ms follows tick 4 at 4003 ms",
                "5,|3,|tick 3 at 5003 ms follows tick 4 at 4003 ms",
                "5003|4002|tick 5 at 4002 ms follows tick 4 at 4003 ms",
                "5003|-3|a whole number is needed under offset_ms",
                "5003|5e3|a whole number is needed under offset_ms",
                ",0,2026|,,2026|a whole number is needed under missed",
                ",0,2026|,9999999999,2026|too many ticks missed",
                "22:10|22-10|a time such as 2026-11-24T22:10:03.000Z is needed, found '2026-11-24T22-10:05.000Z'",
                "05.000Z|05Z|a time such as 2026-11-24T22:10:03.000Z is needed, found '2026-11-24T22:10:05Z'",
                "soak|warm|the stages are [soak, dwell], found 'warm'",
                "p.1|p\"1|a byte that is no printable ASCII, or a quotation mark",
                "p.1|p\u00e91|a byte that is no printable ASCII, or a quotation mark",
                "22.050||under ambient, a number or a quality is needed, found ''",
                "22.050|2.|under ambient, a number or a quality is needed, found '2.'",
                "22.050|.5|under ambient, a number or a quality is needed, found '.5'",
                "22.050|1.2.3|under ambient, a number or a quality is needed, found '1.2.3'",
                "22.050|1-2|under ambient, a number or a quality is needed, found '1-2'",
                "22.050|--1|under ambient, a number or a quality is needed, found '--1'",
                "22.050|-.5|under ambient, a number or a quality is needed, found '-.5'",
                "22.050|-5.|under ambient, a number or a quality is needed, found '-5.'",
                "22.050|1234567890123456789012345678901|under ambient, a number or a quality is needed, found '1234567890123456789012345678901'",
                "22.050|-|under ambient, a number or a quality is needed, found '-'",
                "22.050|NaN|under ambient, a number or a quality is needed, found 'NaN'",
                "22.050,|22.050,1,|a row has 9 fields, found more",
                "22.050,||a row has 9 fields, found 8",
                "-0.5,|-0.5,coolant=good|quality names only readings that are not good",
                "-0.5,|-0.5,coolant=odd|no reading quality is called 'odd'",
                "-0.5,|-0.5,pump=gone|under quality, 'channel=quality' in the order of the columns is needed, found 'pump=gone'",
                "-0.5,|-0.5,coolant=gone;ambient=gone|under quality, 'channel=quality' in the order of the columns is needed, found 'coolant=gone;ambient=gone'",
                "-0.5,|-0.5,coolant=gone;|quality ends with a semicolon"
            })
    void whatIsNoRowIsNamedWithItsLine(String from, String to, String found) throws RecordFault {
        SampleLines lines = lines();
        assertTrue(GOOD.contains(from), from);
        String bad = GOOD.replace(from, to == null ? "" : to);

        RecordFault fault = assertThrows(RecordFault.class, () -> check(lines, bad));

        assertEquals("data/samples.csv:3", fault.place());
        assertEquals(found, fault.found());
    }

    @Test
    void theHeaderNamesTheColumns() throws RecordFault {
        SampleLines lines = new SampleLines(List.of("ambient"), List.of("soak"));
        RecordFault fault = assertThrows(RecordFault.class, () -> check(lines, "tick,ambient"));
        assertEquals("data/samples.csv:1", fault.place());
    }
}
