package org.plateaubench.bench.serial;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.HexFormat;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** Validation of frames against published ones; sources beside them in resources/reference/modbus. */
class ModbusFramingTest {

    private static final HexFormat HEX = HexFormat.of();

    private final ModbusFraming framing = new ModbusFraming();

    static List<String> rows(String file) {
        try (InputStream in = ModbusFramingTest.class.getResourceAsStream("/reference/modbus/" + file)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .skip(1)
                    .toList();
        } catch (IOException e) {
            throw new IllegalStateException(e);
        }
    }

    /** The fields behind the first; those that are needed hold no comma. */
    private static String field(String row, int index) {
        String rest = row.startsWith("\"") ? row.substring(row.indexOf('"', 1) + 1) : row.substring(row.indexOf(','));
        return rest.split(",", -1)[index];
    }

    static Stream<String> frames() {
        return rows("rtu-frames.csv").stream()
                .flatMap(row -> Stream.of(field(row, 1), field(row, 2)))
                .filter(frame -> !frame.isEmpty());
    }

    static Stream<String> registerResponses() {
        return rows("rtu-frames.csv").stream()
                .map(row -> field(row, 2))
                .filter(frame -> frame.matches("..(03|04|06|10|83|84|86|90).*"));
    }

    private static String characters(String hex) {
        return new String(HEX.parseHex(hex), StandardCharsets.ISO_8859_1);
    }

    @ParameterizedTest
    @MethodSource("frames")
    void addsTheChecksumOfEveryPublishedFrame(String frame) {
        assertEquals(characters(frame), framing.framed(frame.substring(0, frame.length() - 4)));
        assertEquals(frame.substring(0, frame.length() - 4), framing.content(characters(frame)));
    }

    @Test
    void knowsThePublishedChecksums() {
        List<String> rows = rows("crc16.csv");
        assertEquals(7, rows.size());
        for (String row : rows) {
            String message = field(row, 1);
            String wire = field(row, 3);
            assertEquals(characters(message + wire), framing.framed(message), row);
        }
    }

    @ParameterizedTest
    @MethodSource("registerResponses")
    void findsTheEndOfAResponseHoweverItArrives(String frame) {
        String bytes = characters(frame);
        for (int i = 0; i < bytes.length(); i++) {
            assertEquals(-1, framing.end(new StringBuilder(bytes.substring(0, i)), 0));
        }
        assertEquals(bytes.length(), framing.end(new StringBuilder(bytes), 0));
        assertEquals(bytes.length(), framing.end(new StringBuilder(bytes + "more"), 0));
    }

    @ParameterizedTest
    @MethodSource("frames")
    void marksEveryFrameWithOneChangedBit(String frame) {
        byte[] bytes = HEX.parseHex(frame);
        for (int bit = 0; bit < 8 * bytes.length; bit++) {
            bytes[bit / 8] ^= (byte) (1 << bit % 8);
            assertEquals("?" + HEX.formatHex(bytes), framing.content(new String(bytes, StandardCharsets.ISO_8859_1)));
            bytes[bit / 8] ^= (byte) (1 << bit % 8);
        }
    }

    @Test
    void marksWhatIsTooShort() {
        assertEquals("?11", framing.content("\u0011"));
    }
}
