package org.plateaubench.fuzz;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.SplittableRandom;

/** Seeded changes of well-formed inputs: bits, bytes, ranges, and pieces that parsers are known to stumble over. */
final class Mutation {

    private static final List<String> PIECES = List.of(
            "\0",
            "\n",
            "\r\n",
            "\t",
            " ",
            ":",
            ": ",
            "- ",
            "#",
            "{",
            "}",
            "[",
            "]",
            "[[[[[[[[",
            "{{{{{{{{",
            "\"",
            "'",
            "|",
            ">",
            "&a ",
            "*a",
            "!!java ",
            "<<: ",
            "---\n",
            "%YAML 1.1\n",
            "..",
            "/",
            "~",
            "9.9E37",
            "-127",
            "1e999",
            "-0",
            "NaN",
            "inf",
            "99999999999999999999",
            "0x",
            "1,5",
            "\u00b0C",
            "\u0000\u0000\u0000\u0000",
            "\ufeff",
            "\ud83d",
            "\u202e",
            "null",
            "true",
            "\\u0000",
            "\"\":",
            ";",
            ";;",
            "0 s",
            "-1 s",
            "1e9 s",
            "100000 min",
            "sha256",
            "../../x",
            "-----BEGIN PUBLIC KEY-----\n");
    private static final int MOST_CHANGES = 8;
    private static final int MOST_BYTES = 1 << 18;

    private final SplittableRandom random;

    Mutation(long seed) {
        random = new SplittableRandom(seed);
    }

    byte[] of(List<byte[]> seeds) {
        byte[] bytes = seeds.get(random.nextInt(seeds.size())).clone();
        int changes = random.nextInt(MOST_CHANGES + 1);
        for (int i = 0; i < changes; i++) {
            bytes = changed(bytes, seeds);
        }
        return bytes;
    }

    private byte[] changed(byte[] bytes, List<byte[]> seeds) {
        int at = random.nextInt(bytes.length + 1);
        int to = Math.min(bytes.length, at + 1 + random.nextInt(random.nextBoolean() ? 4 : 200));
        return switch (random.nextInt(8)) {
            case 0 -> flipped(bytes, at);
            case 1 -> joined(bytes, at, new byte[] {(byte) random.nextInt(256)}, at);
            case 2 -> joined(bytes, at, new byte[0], to);
            case 3 -> joined(bytes, at, java.util.Arrays.copyOfRange(bytes, at, to), at);
            case 4 -> {
                byte[] other = seeds.get(random.nextInt(seeds.size()));
                int from = random.nextInt(other.length + 1);
                yield joined(
                        bytes, at, java.util.Arrays.copyOfRange(other, from, Math.min(other.length, from + 300)), to);
            }
            case 5 -> {
                String piece = PIECES.get(random.nextInt(PIECES.size()));
                yield joined(
                        bytes,
                        at,
                        piece.repeat(1 + random.nextInt(100) / 95 * 2000).getBytes(StandardCharsets.UTF_8),
                        at);
            }
            case 6 ->
                joined(bytes, at, PIECES.get(random.nextInt(PIECES.size())).getBytes(StandardCharsets.UTF_8), to);
            default -> java.util.Arrays.copyOf(bytes, at);
        };
    }

    private byte[] flipped(byte[] bytes, int at) {
        if (at < bytes.length) {
            bytes[at] ^= (byte) (1 << random.nextInt(8));
        }
        return bytes;
    }

    private static byte[] joined(byte[] bytes, int at, byte[] with, int to) {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        out.write(bytes, 0, at);
        out.write(with, 0, with.length);
        out.write(bytes, to, bytes.length - to);
        return out.size() > MOST_BYTES ? bytes : out.toByteArray();
    }
}
