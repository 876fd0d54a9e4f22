package org.plateaubench.problem;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Random;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class HostileInputTest {

    private static final long SEED = 20261124;

    /** Raised for a campaign, such as -Dplateau.fuzz.rounds=1000000. */
    private static final int ROUNDS = Integer.getInteger("plateau.fuzz.rounds", 3_000);

    private static Document read(String text) {
        return read(text, StandardCharsets.UTF_8);
    }

    private static Document read(String text, Charset charset) {
        return Document.of(new SourceText("hostile.yaml", text.getBytes(charset)));
    }

    private static String messages(Document document) {
        return document.problems().inLineOrder().stream().map(Problem::text).collect(Collectors.joining("\n\n"));
    }

    private static void assertOnlyProblem(String expected, Document document) {
        assertTrue(document.root().isEmpty());
        assertEquals(expected, messages(document));
    }

    @ParameterizedTest
    @CsvSource({"[, ]", "'{a: ', '}'", "'- ', ''", "'? ', ''"})
    void twentyThousandLevelsAreTooDeep(String open, String close) {
        Document document = read(open.repeat(20_000) + close.repeat(20_000));
        assertTrue(document.root().isEmpty());
        Problem problem = document.problems().inLineOrder().get(0);
        assertEquals(ProblemCode.NESTED_TOO_DEEPLY, problem.code());
        assertEquals("at most 32 levels", problem.needed());
    }

    @Test
    void tenMegabytesAreTooLarge() {
        assertOnlyProblem("""
                hostile.yaml: error: the file is too large
                  needs 1 MiB or less, found 10000000 bytes
                  nothing was sent to the bench  [FILE_TOO_LARGE]""", read("a".repeat(10_000_000)));
    }

    @Test
    void aliasBombStopsAtItsFirstAnchor() {
        StringBuilder bomb = new StringBuilder("a0: &a0 [x, x]\n");
        for (int i = 1; i < 60; i++) {
            bomb.append("a%d: &a%d [*a%d, *a%d]\n".formatted(i, i, i - 1, i - 1));
        }
        assertOnlyProblem("""
                hostile.yaml:1:5: error: anchors (&) and aliases (*) are not used here
                  1 | a0: &a0 [x, x]
                    |     ^
                  needs the value itself, written out
                  nothing was sent to the bench  [ALIAS]""", read(bomb.toString()));
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "\n", "   \n\n", "# only a comment\n", "\ufeff"})
    void emptyFileIsToldSo(String text) {
        assertOnlyProblem("""
                hostile.yaml: error: the file is empty
                  needs keys with values, see the examples
                  nothing was sent to the bench  [EMPTY_FILE]""", read(text));
    }

    @Test
    void utf16IsToldSo() {
        assertOnlyProblem("""
                hostile.yaml: error: the file is written in UTF-16
                  needs UTF-8: save it again with that encoding
                  nothing was sent to the bench  [NOT_UTF8]""", read("\ufefftitle: x\n", StandardCharsets.UTF_16LE));
    }

    @Test
    void latin1IsToldAtItsFirstForeignByte() {
        assertOnlyProblem("""
                hostile.yaml:2:11: error: this byte is not UTF-8 text
                  2 | above: 50 �
                    |           ^
                  found B0 (hexadecimal); needs UTF-8: save the file again with that encoding
                  nothing was sent to the bench  [NOT_UTF8]""", read("title: x\nabove: 50 °C\n", StandardCharsets.ISO_8859_1));
    }

    @ParameterizedTest
    @ValueSource(strings = {"title: x\nrepeats: 2\n", "title: x\r\nrepeats: 2\r\n", "title: x\rrepeats: 2\r"})
    void lineEndsOfAnySystemAreRead(String text) {
        for (String file : List.of(text, "\ufeff" + text)) {
            Document document = read(file);
            assertEquals("", messages(document));
            Yaml repeats = document.root().orElseThrow().at("repeats");
            assertEquals("2", repeats.text());
            assertEquals(new Place(1, 9, 1), repeats.place());
        }
    }

    @Test
    void placeCountsLettersBeyondTheBasicPlaneOnce() {
        Document document = read("{ title: \"\uD83D\uDE00\uD83D\uDE00\", repeats: 2 }");
        assertEquals(
                new Place(0, 24, 1), document.root().orElseThrow().at("repeats").place());
    }

    @Test
    void longLineIsClippedAroundItsPlace() {
        Document document = read("title: \"" + "a".repeat(300) + "\", repeats: " + "b".repeat(300) + "\n");
        String[] lines = messages(document).split("\n");
        assertEquals(160 + 2 + "  1 | ".length(), lines[1].length());
        assertEquals(',', lines[1].charAt(lines[2].indexOf('^')));
    }

    @Test
    void whatATerminalWouldActUponIsShownInstead() {
        Problem problem = new Problem(
                "a\u001b[2J.yaml",
                new Place(0, 4, 1),
                "\ta\u202e\u0007b",
                "message",
                "\u001b[31m",
                "plain\u0000text",
                "",
                ProblemCode.NOT_YAML);
        assertEquals("""
                a␛[2J.yaml:1:5: error: message
                  1 |  a�␇b
                    |     ^
                  found ␛[31m; needs plain␀text
                  nothing was sent to the bench  [NOT_YAML]""", problem.text());
    }

    /** Bytes changed, taken out, doubled and swapped: nothing is thrown, and every place lies in its file. */
    @Test
    void anyBytesGiveADocumentOrProblems() {
        byte[] good = """
                title: "One \\u00e9"
                list: [700 rpm, { a: 'b' }, "c"]
                block: |
                  text
                keys:
                  - { speed: 2,5 %, x: ! y }
                  - &a z
                """.getBytes(StandardCharsets.UTF_8);
        byte[] interesting = "{}[]:,-?&*!|>'\"%@`#\t\r\n\0 ab1\\\u00ef".getBytes(StandardCharsets.ISO_8859_1);
        Random random = new Random(SEED);
        for (int i = 0; i < ROUNDS; i++) {
            byte[] bytes = good.clone();
            for (int change = 0; change <= i % 4; change++) {
                bytes[random.nextInt(bytes.length)] = interesting[random.nextInt(interesting.length)];
            }
            String context = "seed " + SEED + ", round " + i;
            Document document = Document.of(new SourceText("fuzzed.yaml", bytes));
            List<Problem> problems = document.problems().inLineOrder();
            assertTrue(document.root().isPresent() || !problems.isEmpty(), context);
            for (Problem problem : problems) {
                Place place = problem.place();
                int width =
                        problem.lineText().codePointCount(0, problem.lineText().length());
                assertTrue(place.column() <= width && place.length() >= 1, context);
                assertTrue(problem.text().endsWith("[" + problem.code() + "]"), context);
            }
        }
    }
}
