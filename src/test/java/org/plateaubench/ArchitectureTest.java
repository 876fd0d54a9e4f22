package org.plateaubench;

import static com.tngtech.archunit.base.DescribedPredicate.not;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAPackage;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static org.junit.jupiter.api.Assertions.assertEquals;

import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** Holds the arrows between the rooms, and what only one room may do. */
class ArchitectureTest {

    private static final Pattern TWO_COMMENTS =
            Pattern.compile("(?m)^ */\\*\\*[^\\n]*\\*/\\s*/\\*\\*|^ +\\*/\\s*/\\*\\*");

    private static final String ROOT = "org.plateaubench.";

    private static final JavaClasses PROGRAM = new ClassFileImporter()
            .withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
            .importPackages("org.plateaubench");

    /** Each room with the rooms that it may use, besides itself and its own sub-packages. */
    private static final Map<String, List<String>> MAY_USE = new TreeMap<>(Map.ofEntries(
            Map.entry("units", List.of()),
            Map.entry("clock", List.of("units")),
            Map.entry("sample", List.of("units")),
            Map.entry("problem", List.of("units")),
            Map.entry("benchfile", List.of("units", "sample", "problem")),
            Map.entry("plan", List.of("units", "problem", "benchfile")),
            Map.entry("equilibrium", List.of("units")),
            Map.entry("fans", List.of("units")),
            Map.entry("acoustics", List.of("units")),
            Map.entry("thermal", List.of("units")),
            Map.entry("uncertainty", List.of("units")),
            Map.entry("bench", List.of("units", "clock", "sample", "benchfile")),
            Map.entry("record", List.of("units", "clock", "sample")),
            Map.entry(
                    "engine",
                    List.of(
                            "units",
                            "plan",
                            "benchfile",
                            "sample",
                            "equilibrium",
                            "fans",
                            "acoustics",
                            "thermal",
                            "uncertainty")),
            Map.entry(
                    "results",
                    List.of(
                            "units",
                            "sample",
                            "problem",
                            "record",
                            "plan",
                            "benchfile",
                            "equilibrium",
                            "fans",
                            "acoustics",
                            "thermal",
                            "uncertainty")),
            Map.entry(
                    "night",
                    List.of(
                            "units",
                            "sample",
                            "problem",
                            "clock",
                            "plan",
                            "benchfile",
                            "engine",
                            "bench",
                            "record",
                            "results",
                            "equilibrium",
                            "uncertainty")),
            Map.entry(
                    "audit", List.of("units", "clock", "record", "results", "plan", "problem", "benchfile", "sample")),
            Map.entry(
                    "report",
                    List.of(
                            "units",
                            "sample",
                            "problem",
                            "plan",
                            "benchfile",
                            "record",
                            "results",
                            "audit",
                            "equilibrium",
                            "fans",
                            "acoustics",
                            "thermal",
                            "uncertainty"))));

    static Stream<String> rooms() {
        return MAY_USE.keySet().stream();
    }

    @ParameterizedTest
    @MethodSource("rooms")
    void aRoomUsesOnlyTheRoomsItMay(String room) {
        Set<String> allowed = Stream.concat(MAY_USE.get(room).stream(), Stream.of(room))
                .map(r -> ROOT + r + "..")
                .collect(Collectors.toCollection(TreeSet::new));
        noClasses()
                .that()
                .resideInAPackage(ROOT + room + "..")
                .should()
                .dependOnClassesThat(
                        resideInAPackage(ROOT + "*..").and(not(resideInAnyPackage(allowed.toArray(String[]::new)))))
                .allowEmptyShould(true)
                .check(PROGRAM);
    }

    @Test
    void everyRoomIsInTheTable() {
        Set<String> found = PROGRAM.stream()
                .map(c -> c.getPackageName())
                .filter(p -> p.startsWith(ROOT))
                .map(p -> p.substring(ROOT.length()).split("\\.")[0])
                .collect(Collectors.toCollection(TreeSet::new));
        found.removeAll(MAY_USE.keySet());
        found.removeAll(Set.of("cli", "watch"));
        assertEquals(Set.of(), found, "rooms without a rule");
    }

    @Test
    void theSimulatorSharesNothingWithTheAnalysis() {
        noClasses()
                .that()
                .resideInAPackage("org.plateaubench.bench.sim..")
                .should()
                .dependOnClassesThat()
                .resideInAnyPackage(
                        "org.plateaubench.equilibrium..",
                        "org.plateaubench.fans..",
                        "org.plateaubench.acoustics..",
                        "org.plateaubench.thermal..",
                        "org.plateaubench.uncertainty..")
                .allowEmptyShould(true)
                .check(PROGRAM);
    }

    @Test
    void onlyTheClockReadsOrWaitsForTime() {
        noClasses()
                .that()
                .resideOutsideOfPackage("org.plateaubench.clock..")
                .should()
                .callMethod(System.class, "nanoTime")
                .orShould()
                .callMethod(System.class, "currentTimeMillis")
                .orShould()
                .callMethod(java.time.Instant.class, "now")
                .orShould()
                .callMethod(java.time.LocalDate.class, "now")
                .orShould()
                .callMethod(java.time.LocalDateTime.class, "now")
                .orShould()
                .callMethod(java.time.OffsetDateTime.class, "now")
                .orShould()
                .callMethod(java.time.ZonedDateTime.class, "now")
                .orShould()
                .callMethod(Thread.class, "sleep", long.class)
                .because("time comes from the clock room, so that a night can be simulated")
                .check(PROGRAM);
    }

    @Test
    void nothingIsRandomUnlessItIsSeeded() {
        noClasses()
                .should()
                .callConstructor(java.util.Random.class)
                .orShould()
                .callMethod(Math.class, "random")
                .because("the same seed gives the same night")
                .check(PROGRAM);
    }

    @Test
    void nothingThatReachesARecordDependsOnTheProcessor() {
        noClasses()
                .that()
                .resideOutsideOfPackages("org.plateaubench.cli..", "org.plateaubench.watch..")
                .should()
                .callMethod(Math.class, "exp", double.class)
                .orShould()
                .callMethod(Math.class, "log", double.class)
                .orShould()
                .callMethod(Math.class, "log10", double.class)
                .orShould()
                .callMethod(Math.class, "pow", double.class, double.class)
                .orShould()
                .callMethod(Math.class, "sin", double.class)
                .orShould()
                .callMethod(Math.class, "cos", double.class)
                .orShould()
                .callMethod(Math.class, "tanh", double.class)
                .because("StrictMath gives the same digits everywhere")
                .check(PROGRAM);
    }

    @Test
    void everyPackageSaysWhatItIs() {
        Set<String> packages =
                PROGRAM.stream().map(c -> c.getPackageName()).collect(Collectors.toCollection(TreeSet::new));
        packages.removeIf(p -> Files.exists(Path.of("src/main/java", p.replace('.', '/'), "package-info.java")));
        assertEquals(Set.of(), packages, "packages without package-info.java");
    }

    /** Java 23 and later warn of it, which fails the build there. */
    @Test
    void noDocumentationStandsBeforeOtherDocumentation() throws IOException {
        List<String> dangling = new ArrayList<>();
        for (String folder : List.of("src/main/java", "src/test/java")) {
            try (Stream<Path> files = Files.walk(Path.of(folder))) {
                for (Path file :
                        files.filter(f -> f.toString().endsWith(".java")).toList()) {
                    if (TWO_COMMENTS.matcher(Files.readString(file)).find()) {
                        dangling.add(file.toString());
                    }
                }
            }
        }
        assertEquals(List.of(), dangling);
    }

    @Test
    void onlyMainEndsTheProcess() {
        classes()
                .that()
                .areNotAssignableTo("org.plateaubench.cli.Main")
                .and()
                .resideOutsideOfPackage("org.plateaubench.bench.load..")
                .should(com.tngtech.archunit.lang.conditions.ArchConditions.never(
                        com.tngtech.archunit.lang.conditions.ArchConditions.callMethod(
                                System.class, "exit", int.class)))
                .check(PROGRAM);
    }
}
