package org.plateaubench.plan;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import dev.harrel.jsonschema.Validator;
import dev.harrel.jsonschema.ValidatorFactory;
import java.io.IOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.function.Function;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.problem.Document;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.Problem;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.problem.Yaml;
import org.plateaubench.problem.YamlJsonNode;

/**
 * Keeps the JSON Schemas, by which editors complete and check, in step with the readers: what a valid file holds is
 * taken out, renamed and replaced piece by piece, and both must say the same of each change.
 */
class SchemaTest {

    /** What a schema can see: the shape of a file, not what its numbers mean together. */
    private static final Set<ProblemCode> OF_SHAPE = EnumSet.of(
            ProblemCode.UNKNOWN_KEY,
            ProblemCode.KEY_MISSING,
            ProblemCode.KEYS_EXCLUDE,
            ProblemCode.WRONG_KIND,
            ProblemCode.UNIT_MISSING,
            ProblemCode.UNKNOWN_UNIT,
            ProblemCode.DECIMAL_COMMA,
            ProblemCode.NOT_A_QUANTITY,
            ProblemCode.NOT_A_NAME);

    /** A schema does not know the unit of a channel, so a bare number may be right there for all that it can tell. */
    private static boolean ofShape(Problem problem) {
        boolean ofChannel =
                problem.code() == ProblemCode.UNIT_MISSING && problem.path().startsWith("channels.");
        return OF_SHAPE.contains(problem.code()) && !ofChannel;
    }

    /** One in so many changes is tried; all of them with -Dplateau.schema.every=1. */
    private static final int EVERY = Integer.getInteger("plateau.schema.every", 11);

    private static final List<String> REPLACEMENTS = List.of(
            "7", "7.5", "seven", "1 s", "1 rpm", "1 %", "1 K", "1 °C", "1 K/h", "1 dB", "1 W", "1 V", "2,5 s", "[]",
            "{}", "true", "\"\"", "");

    /** One of the three kinds of file, with valid ones that hold every key among them. */
    enum Kind {
        PLAN(
                "/schemas/plan.schema.json",
                PlanReader::read,
                List.of(
                        "src/test/resources/files/valid/everything-plan.yaml",
                        "src/test/resources/files/valid/supply-plan.yaml",
                        "src/test/resources/files/valid/processor-plan.yaml")),
        FANS(
                "/schemas/fans.schema.json",
                FansFileReader::read,
                List.of("src/test/resources/files/valid/everything-fans.yaml")),
        BENCH(
                "/schemas/bench.schema.json",
                BenchFileReader::read,
                List.of(
                        "src/test/resources/files/valid/everything-bench.yaml",
                        "src/test/resources/files/valid/base-bench.yaml",
                        "src/test/resources/files/valid/dialects-bench.yaml"));

        final Document schema;
        final Function<SourceText, ? extends Parsed<?>> reader;
        final List<SourceText> files;
        private final Validator validator;
        private final URI uri;

        Kind(String schema, Function<SourceText, ? extends Parsed<?>> reader, List<String> files) {
            SourceText text = SourceFiles.resource(schema, schema);
            this.schema = Document.of(text);
            this.reader = reader;
            this.files = files.stream().map(f -> TestFiles.named(Path.of(f))).toList();
            this.validator = new ValidatorFactory()
                    .withJsonNodeFactory(YamlJsonNode.factory())
                    .createValidator();
            this.uri = validator.registerSchema(TestFiles.string(text));
        }

        boolean schemaAccepts(Document document) {
            return validator.validate(uri, document.root().orElseThrow()).isValid();
        }

        List<Problem> problems(String text) {
            return reader.apply(TestFiles.text("changed.yaml", text)).problems();
        }

        /** Reads a changed file both ways; schema and reader must agree about its shape. */
        void agreeAbout(String text, String change, List<String> disagreements) {
            Document document = Document.of(TestFiles.text("changed.yaml", text));
            if (document.root().isEmpty() || !document.problems().isEmpty()) {
                return;
            }
            List<Problem> problems = problems(text);
            boolean accepted = schemaAccepts(document);
            boolean shapeWrong = problems.stream().anyMatch(SchemaTest::ofShape);
            if (!accepted && problems.isEmpty()) {
                disagreements.add(change + ": the schema rejects what the reader takes");
            } else if (accepted && shapeWrong) {
                disagreements.add(change + ": the schema takes what the reader rejects: " + TestFiles.codes(problems));
            }
        }
    }

    @ParameterizedTest
    @EnumSource
    void acceptsWhatTheReaderAccepts(Kind kind) {
        for (SourceText file : kind.files) {
            assertEquals(List.of(), kind.problems(TestFiles.string(file)));
            assertTrue(kind.schemaAccepts(Document.of(file)), file.label());
        }
    }

    @Test
    void acceptsTheFilesThatShipWithTheProgram() throws IOException {
        for (Path plan : yamlFiles(Path.of("protocols"))) {
            assertTrue(Kind.PLAN.schemaAccepts(Document.of(TestFiles.named(plan))), plan.toString());
        }
        for (Path fans : yamlFiles(Path.of("protocols/fans"))) {
            assertTrue(Kind.FANS.schemaAccepts(Document.of(TestFiles.named(fans))), fans.toString());
        }
        for (Path bench : yamlFiles(Path.of("hardware-notes/benches"))) {
            assertTrue(Kind.BENCH.schemaAccepts(Document.of(TestFiles.named(bench))), bench.toString());
        }
    }

    private static List<Path> yamlFiles(Path folder) throws IOException {
        try (Stream<Path> files = Files.list(folder)) {
            return files.filter(f -> f.toString().endsWith(".yaml")).sorted().toList();
        }
    }

    @Test
    void rejectsEveryFaultyFileWhoseShapeIsWrong() throws IOException {
        int rejected = 0;
        for (Path faulty : FaultyFilesTest.faultyFiles()) {
            String folder = faulty.getParent().getFileName().toString();
            Kind kind = folder.startsWith("plan") ? Kind.PLAN : folder.startsWith("fans") ? Kind.FANS : Kind.BENCH;
            SourceText text = TestFiles.named(faulty);
            Document document = Document.of(text);
            if (!document.problems().isEmpty()) {
                continue;
            }
            List<Problem> problems = kind.problems(TestFiles.string(text));
            if (problems.stream().anyMatch(SchemaTest::ofShape)) {
                assertFalse(kind.schemaAccepts(document), faulty.toString());
                rejected++;
            }
        }
        assertTrue(rejected >= 60, rejected + " faulty files of a wrong shape");
    }

    @ParameterizedTest
    @EnumSource
    void knowsTheKeysThatTheReaderKnows(Kind kind) {
        Set<String> ofSchema = new TreeSet<>();
        objects(kind.schema.root().orElseThrow(), "#", ofSchema);
        Set<String> ofReader = new TreeSet<>();
        for (SourceText file : kind.files) {
            for (Problem problem : problemsOfUnknownKeysEverywhere(kind, file)) {
                String keys = problem.needed().replaceFirst("^(one of|only) ", "");
                ofReader.add(String.join(",", new TreeSet<>(List.of(keys.split(", ")))));
            }
        }
        for (String keys : ofReader) {
            assertTrue(
                    ofSchema.stream().anyMatch(s -> List.of(s.split(",")).containsAll(List.of(keys.split(",")))),
                    "no object of the schema has all of " + keys);
        }
        for (String keys : ofSchema) {
            Set<String> left = new TreeSet<>(List.of(keys.split(",")));
            ofReader.stream()
                    .map(k -> List.of(k.split(",")))
                    .filter(k -> List.of(keys.split(",")).containsAll(k))
                    .forEach(left::removeAll);
            assertEquals(Set.of(), left, "keys of the schema that the reader never knows, in " + keys);
        }
    }

    /** The keys of every object in a schema that lists its keys. */
    private static void objects(Yaml node, String pointer, Set<String> found) {
        if (node instanceof Yaml.Mapping mapping) {
            boolean closed = mapping.value("additionalProperties")
                    .filter(v -> v.text().equals("false"))
                    .isPresent();
            if (closed && node.at("properties") instanceof Yaml.Mapping properties) {
                Set<String> keys = new TreeSet<>();
                properties.entries().forEach(e -> keys.add(e.key()));
                found.add(String.join(",", keys));
            }
            mapping.entries().forEach(e -> objects(e.value(), pointer + "/" + e.key(), found));
        } else if (node instanceof Yaml.Sequence sequence) {
            sequence.items().forEach(item -> objects(item, pointer, found));
        }
    }

    private static List<Problem> problemsOfUnknownKeysEverywhere(Kind kind, SourceText file) {
        List<Problem> problems = new ArrayList<>();
        eachNode(Document.of(file).root().orElseThrow(), node -> {
            if (node instanceof Yaml.Mapping) {
                String text =
                        YamlText.of(Document.of(file).root().orElseThrow(), node.path(), YamlText.Change.ADD, "zzzz");
                kind.problems(text).stream()
                        .filter(p -> p.code() == ProblemCode.UNKNOWN_KEY)
                        .forEach(problems::add);
            }
        });
        return problems;
    }

    private static void eachNode(Yaml node, Consumer<Yaml> visitor) {
        visitor.accept(node);
        if (node instanceof Yaml.Mapping mapping) {
            mapping.entries().forEach(e -> eachNode(e.value(), visitor));
        } else if (node instanceof Yaml.Sequence sequence) {
            sequence.items().forEach(i -> eachNode(i, visitor));
        }
    }

    @ParameterizedTest
    @EnumSource
    void agreesWithTheReaderAboutEveryKeyTakenOutOrPutIn(Kind kind) {
        List<String> disagreements = new ArrayList<>();
        int[] count = {0};
        for (SourceText file : kind.files) {
            Yaml root = Document.of(file).root().orElseThrow();
            eachNode(root, node -> {
                for (YamlText.Change change : List.of(YamlText.Change.REMOVE, YamlText.Change.ADD)) {
                    if (count[0]++ % Math.min(EVERY, 3) == 0) {
                        String text = YamlText.of(root, node.path(), change, "zzzz");
                        kind.agreeAbout(text, change + " " + file.label() + " " + node.path(), disagreements);
                    }
                }
            });
        }
        assertEquals(List.of(), disagreements);
    }

    @ParameterizedTest
    @EnumSource
    void agreesWithTheReaderAboutEveryValueReplaced(Kind kind) {
        List<String> disagreements = new ArrayList<>();
        int[] count = {0};
        for (SourceText file : kind.files) {
            Yaml root = Document.of(file).root().orElseThrow();
            eachNode(root, node -> {
                for (String replacement : REPLACEMENTS) {
                    if (count[0]++ % EVERY != 0) {
                        continue;
                    }
                    String text = YamlText.of(root, node.path(), YamlText.Change.REPLACE, replacement);
                    kind.agreeAbout(text, file.label() + " " + node.path() + ": " + replacement, disagreements);
                }
            });
        }
        assertEquals(List.of(), disagreements);
    }
}
