package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.PrintWriter;
import java.io.StringWriter;
import java.time.OffsetDateTime;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.engine.Progress;

/** The block of a running night on terminals of different widths, and its lines in a pipe. */
class ProgressScreenTest {

    private static final Progress SOAK = new Progress(
            "soak",
            "slope 1.20 ± 0.10 K/h, limit 1 K/h",
            "1.1/1",
            "24 dB own level",
            1,
            6,
            2,
            true,
            31.137,
            9.531,
            1318,
            OptionalDouble.of(1.2),
            OptionalDouble.of(1.0),
            7200);

    private static String shown(Terminal terminal) {
        StringWriter out = new StringWriter();
        ProgressScreen screen =
                new ProgressScreen(new PrintWriter(out), terminal, OffsetDateTime.parse("2026-11-24T22:10:00+01:00"));
        screen.simulated(true);
        screen.tick(1, 60, () -> SOAK);
        screen.journalled(61, Map.of("decision", "pass-spoiled", "pass", "1.1/1", "reason", "a test"));
        return out.toString();
    }

    private static Terminal wide(int columns, Map<String, String> environment) {
        return Terminal.of(environment, "24 " + columns);
    }

    /** What a terminal shows of a text: without what only steers it. */
    private static List<String> lines(String text) {
        return text.replaceAll("\u001b\\[[?0-9;]*[A-Za-z]", "").lines().toList();
    }

    @ParameterizedTest
    @ValueSource(ints = {40, 80, 200})
    void everythingIsShownWhateverTheWidth(int columns) {
        String text = shown(wide(columns, Map.of("TERM", "xterm")));
        List<String> block = lines(text.substring(0, text.indexOf("\u001b[0J")));
        block.forEach(line -> assertTrue(line.length() < columns, columns + " columns: " + line));
        String all = String.join("\n", block);
        for (String part : List.of(
                "SIMULATED  22:11  soak",
                "pass 1.1/1 at 24 dB own level",
                "heat on",
                "passes 1 of 6 done",
                "2 spoiled",
                "about 2 h 0 min left",
                "ends about 00:11",
                "coolant 31.14 °C",
                "rise 9.53 K",
                "fans 1318 rpm",
                "slope 1.20 K/h of 1.00 K/h",
                "waits: slope 1.20 ± 0.10 K/h,",
                "limit 1 K/h")) {
            assertTrue(all.contains(part), columns + " columns, without '" + part + "':\n" + all);
        }
        assertFalse(all.contains(",  "), columns + " columns, a gap within a sentence:\n" + all);
    }

    @Test
    void theBlockIsTakenAwayByAsManyLinesAsItHas() {
        for (int columns : new int[] {40, 80, 200}) {
            String text = shown(wide(columns, Map.of("TERM", "xterm")));
            int end = text.indexOf("A\u001b[0J");
            int up = Integer.parseInt(text.substring(text.lastIndexOf('[', end) + 1, end));
            long drawn = text.substring(0, end).chars().filter(c -> c == '\n').count();
            assertEquals(drawn, up, columns + " columns");
        }
    }

    @Test
    void nothingStandsOutWhereNoColourIsWanted() {
        assertTrue(shown(wide(80, Map.of("TERM", "xterm"))).contains("\u001b[1m"));
        assertFalse(shown(wide(80, Map.of("TERM", "xterm", "NO_COLOR", "1"))).matches("(?s).*\u001b\\[[0-9;]*m.*"));
        assertTrue(shown(wide(80, Map.of("TERM", "xterm", "NO_COLOR", ""))).contains("\u001b[1m"));
    }

    @Test
    void aPipeAndADumbTerminalGetPlainLines() {
        for (Terminal terminal : List.of(Terminal.NONE, wide(80, Map.of("TERM", "dumb")), wide(80, Map.of()))) {
            assertEquals("SIMULATED  22:11  pass 1.1/1 spoiled: a test\n", shown(terminal));
        }
    }
}
