package org.plateaubench.fuzz;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.bench.serial.ReplyTargets;
import org.plateaubench.night.Retrace;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.TrustFile;
import org.plateaubench.results.NightResults;

/** Everything that reads what somebody else wrote. Any bytes must end in a value or in a clear error. */
enum FuzzTarget {
    PLAN(1) {
        @Override
        List<byte[]> seeds() {
            return List.of(utf8(Samples.PLAN), file("src/test/resources/files/valid/everything-plan.yaml"));
        }

        @Override
        void take(byte[] input) {
            problems(NightFiles.read(
                    new SourceText("plan.yaml", input), NightFiles.simulatedFans(), NightFiles.simulatedBench()));
        }
    },
    FANS(1) {
        @Override
        List<byte[]> seeds() {
            return List.of(
                    NightFiles.simulatedFans().bytes(), file("src/test/resources/files/valid/everything-fans.yaml"));
        }

        @Override
        void take(byte[] input) {
            problems(NightFiles.read(
                    new SourceText("plan.yaml", utf8(Samples.PLAN)),
                    new SourceText("fans.yaml", input),
                    NightFiles.simulatedBench()));
        }
    },
    BENCH_FILE(1) {
        @Override
        List<byte[]> seeds() {
            return List.of(
                    NightFiles.simulatedBench().bytes(), file("src/test/resources/files/valid/everything-bench.yaml"));
        }

        @Override
        void take(byte[] input) {
            problems(NightFiles.read(
                    new SourceText("plan.yaml", utf8(Samples.PLAN)),
                    NightFiles.simulatedFans(),
                    new SourceText("bench.yaml", input)));
        }
    },
    JOURNAL(20) {
        @Override
        List<byte[]> seeds() {
            return List.of(Samples.record().bytes("data/journal.jsonl"));
        }

        @Override
        void take(byte[] input) throws IOException {
            Samples.record().with("data/journal.jsonl", input);
        }
    },
    /** A journal whose lines hang together, and say something else. */
    JOURNAL_MEANING(10) {
        @Override
        List<byte[]> seeds() {
            return List.of(new byte[] {0, 0, 0, 0}, new byte[] {20, 2, 3, 1, 40, 1, 5, 2}, new byte[64]);
        }

        @Override
        void take(byte[] input) throws IOException {
            MemoryRecord night = Samples.record().rewritten(lines -> edit(lines, input));
            understood(() -> NightResults.of(Samples.record().files(), night));
            understood(() -> Retrace.of(Samples.record().files(), night));
        }
    },
    SAMPLES(20) {
        @Override
        List<byte[]> seeds() {
            return List.of(Samples.record().bytes("data/samples.csv"));
        }

        @Override
        void take(byte[] input) throws IOException {
            Samples.record().with("data/samples.csv", input);
        }
    },
    BAG(20) {
        @Override
        List<byte[]> seeds() {
            List<byte[]> seeds = new ArrayList<>();
            for (int i = 0; i < TAGS.size(); i++) {
                byte[] bytes = Samples.record().bytes(TAGS.get(i));
                byte[] seed = new byte[bytes.length + 1];
                seed[0] = (byte) i;
                System.arraycopy(bytes, 0, seed, 1, bytes.length);
                seeds.add(seed);
            }
            return seeds;
        }

        @Override
        void take(byte[] input) throws IOException {
            if (input.length > 0) {
                Samples.record()
                        .with(
                                TAGS.get((input[0] & 0xff) % TAGS.size()),
                                java.util.Arrays.copyOfRange(input, 1, input.length));
            }
        }
    },
    TRUST_FILE(2) {
        @Override
        List<byte[]> seeds() {
            return List.of(Samples.trustFile());
        }

        @Override
        void take(byte[] input) throws IOException {
            Path file = Samples.record().scratch("trust.jsonl");
            Files.write(file, input);
            Files.setPosixFilePermissions(file, java.nio.file.attribute.PosixFilePermissions.fromString("rw-------"));
            understood(() -> TrustFile.read(file));
        }
    },
    SCPI_REPLIES(1) {
        @Override
        List<byte[]> seeds() {
            return List.of(
                    utf8("A,B,1,2\n0,\"No error\"\n28.437;30.25;0.012\n40.00\n0,\"No error\"\n"),
                    utf8("+9.91E37;;NAN\n1e999;--;3\n"));
        }

        @Override
        void take(byte[] input) {
            ReplyTargets.scpi(input);
        }
    },
    TEXT_REPLIES(1) {
        @Override
        List<byte[]> seeds() {
            return List.of(utf8("24.3 dBA\n28.4\nOK\n40\n"), utf8("\u0000\n\n24,3 dBA\n-127\n"));
        }

        @Override
        void take(byte[] input) {
            ReplyTargets.text(input);
        }
    },
    MODBUS_REPLIES(10) {
        @Override
        List<byte[]> seeds() {
            return List.of(
                    new byte[] {0x11, 0x03, 0x06, 0x02, 0x2b, 0, 0, 0, 0x64, (byte) 0xc8, (byte) 0xba},
                    new byte[] {0x11, 0x04, 0x02, 0, 0x0a, (byte) 0xf8, (byte) 0xf4},
                    new byte[] {4, 0x11, (byte) 0x84, 2, (byte) 0xc2, (byte) 0xc5});
        }

        @Override
        void take(byte[] input) {
            ReplyTargets.modbus(input);
        }
    };

    /** About how many times as long as a plan one input takes; so many times fewer are tried. */
    private final int cost;

    FuzzTarget(int cost) {
        this.cost = cost;
    }

    /** {@return how many inputs to try where a cheap target gets so many} */
    long share(long inputs) {
        return Math.max(1, inputs / cost);
    }

    private static final List<String> TAGS = List.of(
            "bagit.txt",
            "bag-info.txt",
            "manifest-sha256.txt",
            "tagmanifest-sha256.txt",
            "signature/signer.pem",
            "signature/tagmanifest-sha256.txt.sig",
            "data/checkpoints.jsonl",
            "data/provenance.json",
            "data/samples.csv-metadata.json",
            "data/plan.yaml");

    /** {@return inputs that are well-formed} */
    abstract List<byte[]> seeds();

    /**
     * Takes any bytes.
     *
     * @throws IOException never for what the bytes are
     * @throws AssertionError if they are not met with a value or a clear error
     */
    abstract void take(byte[] input) throws IOException;

    private static byte[] utf8(String text) {
        return text.getBytes(StandardCharsets.UTF_8);
    }

    private static byte[] file(String path) {
        try {
            return Files.readAllBytes(Path.of(path));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static void problems(Parsed<NightFiles> parsed) {
        if (parsed.value().isPresent() != parsed.problems().isEmpty()) {
            throw new AssertionError("a value with problems, or neither: " + parsed.problems());
        }
        for (Problem problem : parsed.problems()) {
            if (problem.text().isBlank()) {
                throw new AssertionError("a problem without words: " + problem);
            }
        }
    }

    private interface Reading {
        Object read() throws IOException, Retrace.OtherRules;
    }

    /** What cannot be read is said in words. */
    private static void understood(Reading reading) {
        try {
            reading.read();
        } catch (IOException | Retrace.OtherRules e) {
            if (e.getMessage() == null || e.getMessage().isBlank()) {
                throw new AssertionError("a failure without words", e);
            }
        }
    }

    /** Changes lines of a journal as bytes say: which line, what to do, which field, which value. */
    private static List<Map<String, Object>> edit(List<Map<String, Object>> lines, byte[] input) {
        List<Object> values = List.of(
                "", "none", -1L, Long.MAX_VALUE, true, new BigDecimal("1E+400"), List.of(), Map.of(), List.of("x", 1L));
        List<Map<String, Object>> edited = new ArrayList<>(lines);
        for (int i = 0; i + 3 < input.length && !edited.isEmpty(); i += 4) {
            int at = ((input[i] & 0xff) * 7 + (input[i + 1] & 0xff) / 8) % edited.size();
            Map<String, Object> line = new LinkedHashMap<>(edited.get(at));
            List<String> names = new ArrayList<>(line.keySet());
            String name = names.isEmpty() ? "tick" : names.get((input[i + 2] & 0xff) % names.size());
            switch (input[i + 1] & 7) {
                case 0 -> line.remove(name);
                case 1 -> edited.remove(at);
                case 2 -> edited.add(at, line);
                case 3 ->
                    line.put(
                            name,
                            edited.get((input[i + 3] & 0xff) % edited.size()).get(name));
                default -> line.put(name, values.get((input[i + 3] & 0xff) % values.size()));
            }
            if ((input[i + 1] & 7) != 1 && at < edited.size()) {
                line.values().removeIf(java.util.Objects::isNull);
                edited.set(at, line);
            }
        }
        return edited;
    }
}
