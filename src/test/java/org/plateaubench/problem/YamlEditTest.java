package org.plateaubench.problem;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.List;
import org.junit.jupiter.api.Test;

/** Regression tests of changes in a text that a person wrote. */
class YamlEditTest {

    private static final String TEXT = """
            # A bench.
            channels:
              # The room.
              ambient: { device: c, correction: -0.12 K, unit: "°C" }   # probe 1
              coolant:
                device: c     # probe 2
                uncertainty:
                  expanded: 0.10 K
                  k: 2

              empty: {}
              nothing:
            limits: [ { channel: coolant, above: 50 °C } ]
            """;

    private static String set(String value, String... path) {
        return YamlEdit.set(TEXT, List.of(path), value);
    }

    @Test
    void replacesAValueBetweenBrackets() {
        assertEquals(TEXT.replace("-0.12 K", "0.05 K"), set("0.05 K", "channels", "ambient", "correction"));
        assertEquals(TEXT.replace("\"°C\"", "V"), set("V", "channels", "ambient", "unit"));
    }

    @Test
    void replacesAValueOnLinesOfItsOwn() {
        assertEquals(TEXT.replace("device: c     #", "device: d     #"), set("d", "channels", "coolant", "device"));
        assertEquals(
                TEXT.replace("expanded: 0.10 K\n      k: 2\n", "{ limits: 1 K }\n"),
                set("{ limits: 1 K }", "channels", "coolant", "uncertainty"));
        assertEquals(TEXT.replace("[ { channel: coolant, above: 50 °C } ]", "[]"), set("[]", "limits"));
    }

    @Test
    void putsAKeyBehindTheOthers() {
        assertEquals(
                TEXT.replace("\"°C\" }", "\"°C\", valid: [5, 6] }"), set("[5, 6]", "channels", "ambient", "valid"));
        assertEquals(
                TEXT.replace("      k: 2\n", "      k: 2\n    correction: 1 K\n"),
                set("1 K", "channels", "coolant", "correction"));
        assertEquals(TEXT.replace("empty: {}", "empty: { a: 1 }"), set("1", "channels", "empty", "a"));
        assertEquals(TEXT.replace("nothing:", "nothing: 1"), set("1", "channels", "nothing"));
        assertEquals(TEXT.stripTrailing() + "\nbench: b\n", set("b", "bench"));
    }

    @Test
    void putsAKeyBehindATextThatIsFolded() {
        String text = "a:\n  note: >\n    one\n    two\n\nb:\n  c: 1\n";
        assertEquals(text.replace("two\n", "two\n  d: 2\n"), YamlEdit.set(text, List.of("a", "d"), "2"));
        String last = "a:\n  note: |\n    one\n";
        assertEquals(last + "  d: 2\n", YamlEdit.set(last, List.of("a", "d"), "2"));
    }

    @Test
    void replacesATextThatIsFolded() {
        String text = "a:\n  note: >\n    one\n    two\n\n  b: 1\n";
        assertEquals("a:\n  note: 2\n\n  b: 1\n", YamlEdit.set(text, List.of("a", "note"), "2"));
    }

    @Test
    void keepsAByteOrderMark() {
        assertEquals("\uFEFFa: { b: 2 }\n", YamlEdit.set("\uFEFFa: { b: 1 }\n", List.of("a", "b"), "2"));
    }

    @Test
    void keepsForeignLineEndsAndLettersOutsideTheBasicPlane() {
        String text = "a: { x: \"\uD83C\uDF00\" }\r\nb:\r\n  c: 1\r\n";
        assertEquals(
                "a: { x: \"\uD83C\uDF00\", y: 2 }\r\nb:\r\n  c: 1\r\n", YamlEdit.set(text, List.of("a", "y"), "2"));
        assertEquals(
                "a: { x: \"\uD83C\uDF00\" }\r\nb:\r\n  c: 1\r\n  d: 2\r\n", YamlEdit.set(text, List.of("b", "d"), "2"));
    }

    @Test
    void putsACommentAboveAKey() {
        assertEquals(
                TEXT.replace("  ambient:", "  # until 2026: -0.12 K\n  ambient:"),
                YamlEdit.commentAbove(TEXT, List.of("channels", "ambient"), "until 2026: -0.12 K"));
        assertEquals(
                TEXT.replace("    uncertainty:", "    # old\n    uncertainty:"),
                YamlEdit.commentAbove(TEXT, List.of("channels", "coolant", "uncertainty"), "old"));
    }

    @Test
    void refusesAWayThatIsNotThere() {
        assertThrows(IllegalArgumentException.class, () -> set("1", "channels", "pump", "unit"));
        assertThrows(
                IllegalArgumentException.class, () -> YamlEdit.commentAbove(TEXT, List.of("channels", "pump"), "x"));
    }
}
