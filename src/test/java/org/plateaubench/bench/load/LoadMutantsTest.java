package org.plateaubench.bench.load;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.plateaubench.Wants;
import org.plateaubench.hostile.MutatedSource;

/**
 * Switches each rule that ends a heat load off in turn, in real processes: then heat must stay on where the whole program
 * ends it. CI does that with the one that needs no waiting, and looks that the text of all others still stands in the
 * source; all:
 *
 * <pre>
 * mvn test -Dtest=LoadMutantsTest -Dplateau.hostile.mutants=1
 * </pre>
 */
class LoadMutantsTest {

    private static final boolean ALL = Long.getLong("plateau.hostile.mutants", 0) > 0;
    private static final String GUARDIAN = "bench/load/Guardian.java";
    private static final String SESSION = "bench/load/GuardedCommand.java";
    private static final long NO_LEASE_MILLIS = 60_000;
    private static final long LEASE_MILLIS = 1_500;
    /** So long the whole program may take on a busy machine. */
    private static final long GONE_MILLIS = 8_000;
    /** So long the program without its rule is looked at. */
    private static final long STAYS_MILLIS = 3_500;

    @TempDir
    Path folder;

    /** What is done to the processes. */
    private enum Harm {
        ENGINE_FREEZES,
        ENGINE_IS_KILLED,
        GUARDIAN_FREEZES_AND_HEAT_GOES_OFF,
        GUARDIAN_IS_KILLED,
        BOTH_ARE_KILLED,
        GUARDIAN_IS_TOLD_TO_END,
        HEAT_GOES_OFF,
        RUNS_FOLLOW_EACH_OTHER
    }

    private record Rule(
            String text,
            String file,
            String before,
            String after,
            Harm harm,
            long leaseMillis,
            String containment,
            String script) {

        @Override
        public String toString() {
            return text;
        }
    }

    private static List<Rule> all() {
        String two = "(sleep T &) ; sleep T";
        return List.of(
                new Rule(
                        "heat goes off when the lease runs out",
                        GUARDIAN,
                        "while (!lease.passed()) {",
                        "while (!lease.passed() || leaseMillis > 0) {",
                        Harm.ENGINE_FREEZES,
                        LEASE_MILLIS,
                        "here",
                        two),
                new Rule(
                        "heat goes off when the pipe to the program closes",
                        GUARDIAN,
                        "end(\"failed the program is gone, so the load was ended\");",
                        "",
                        Harm.ENGINE_IS_KILLED,
                        NO_LEASE_MILLIS,
                        "here",
                        two),
                new Rule(
                        "a load's daemons are found by their mark",
                        "bench/load/ProcessTree.java",
                        "if (HAS_PROC) {\n            addMarked(found);",
                        "if (false) {\n            addMarked(found);",
                        Harm.ENGINE_IS_KILLED,
                        NO_LEASE_MILLIS,
                        "none",
                        "(setsid sleep T &) ; sleep T"),
                new Rule(
                        "whoever switches off looks for what is left",
                        SESSION,
                        "tree.end(ended ? null : guardian.toHandle(), Deadline.afterMillis(END_MILLIS));",
                        "List.of();",
                        Harm.GUARDIAN_FREEZES_AND_HEAT_GOES_OFF,
                        NO_LEASE_MILLIS,
                        "here",
                        two),
                new Rule(
                        "a load without its guardian is ended",
                        SESSION,
                        "tree.end(guardian.toHandle(), Deadline.afterMillis(END_MILLIS));\n                fail(",
                        "List.of();\n                fail(",
                        Harm.GUARDIAN_IS_KILLED,
                        NO_LEASE_MILLIS,
                        "none",
                        two),
                new Rule(
                        "a load dies with its guardian",
                        "bench/load/Containment.java",
                        "BEST = probe();",
                        "BEST = none();",
                        Harm.BOTH_ARE_KILLED,
                        NO_LEASE_MILLIS,
                        "here",
                        "exec sleep T"),
                new Rule(
                        "a guardian that is told to end ends its load",
                        GUARDIAN,
                        "Runtime.getRuntime().addShutdownHook(new Thread(() -> guardian.end(\"failed its guardian was told to"
                                + " end\")));",
                        "",
                        Harm.GUARDIAN_IS_TOLD_TO_END,
                        NO_LEASE_MILLIS,
                        "none",
                        two),
                new Rule(
                        "a guardian obeys when heat goes off",
                        GUARDIAN,
                        "if (order == OFF) {",
                        "if (order == 0) {",
                        Harm.HEAT_GOES_OFF,
                        NO_LEASE_MILLIS,
                        "here",
                        "echo working; sleep T"),
                new Rule(
                        "what a run leaves behind is ended before the next",
                        GUARDIAN,
                        ": tree.end(started.toHandle(), Deadline.afterMillis(END_MILLIS))\n"
                                + "                            .size();",
                        ": 0;",
                        Harm.RUNS_FOLLOW_EACH_OTHER,
                        NO_LEASE_MILLIS,
                        "none",
                        "sleep T & sleep 0.1"));
    }

    static Stream<Rule> rules() {
        return all().stream().filter(rule -> ALL || rule.harm() == Harm.HEAT_GOES_OFF);
    }

    @BeforeAll
    static void onlyWhereProcessesCanBeSeen() {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
    }

    @ParameterizedTest
    @MethodSource("rules")
    void theRuleIsMissed(Rule rule) throws Exception {
        Wants.program("setpriv");
        Wants.program("setsid");
        assertTrue(goneAfter(rule, EngineProgram.home(Guardian.class), GONE_MILLIS), "with the rule");

        assertFalse(goneAfter(rule, classesWithout(rule), STAYS_MILLIS), "nobody notices that this rule is gone");
    }

    @Test
    void eachRuleStandsInTheSourceOnce() throws IOException {
        for (Rule rule : all()) {
            assertEquals(1, MutatedSource.count(rule.file(), rule.before()), rule::text);
        }
    }

    /** The program's classes with one of them changed. */
    private String classesWithout(Rule rule) throws IOException {
        Path from = Path.of(EngineProgram.home(Guardian.class));
        Path to = folder.resolve("classes");
        try (Stream<Path> all = Files.walk(from)) {
            for (Path file : all.toList()) {
                Path copy = to.resolve(from.relativize(file).toString());
                if (Files.isDirectory(file)) {
                    Files.createDirectories(copy);
                } else {
                    Files.copy(file, copy);
                }
            }
        }
        for (Map.Entry<String, byte[]> each : MutatedSource.compiled(
                        rule.text(), rule.file(), rule.before(), rule.after())
                .entrySet()) {
            Files.write(to.resolve(each.getKey().replace('.', '/') + ".class"), each.getValue());
        }
        return to.toString();
    }

    /** Does harm to a load; true if its heat is gone in time, and as it should be. */
    private boolean goneAfter(Rule rule, String classes, long millis) throws Exception {
        String token = Processes.token();
        String sleep = "sleep\0" + token;
        Path logs = Files.createDirectories(folder.resolve("logs-" + token));
        String script = rule.script().replaceAll("\\bT\\b", token);
        Process engine = EngineProgram.start(
                classes, logs, rule.containment(), rule.leaseMillis(), List.of("/bin/sh", "-c", script));
        try {
            int sleeping = rule.script().split("\\bT\\b", -1).length - 1;
            assertTrue(
                    Processes.within(5_000, () -> Processes.with(sleep).size() >= sleeping),
                    () -> "sleeping: " + Processes.with(sleep));
            List<Long> guardians = Processes.with(Guardian.class.getName(), token);
            assertEquals(1, guardians.size());
            long guardian = guardians.get(0);
            switch (rule.harm()) {
                case ENGINE_FREEZES -> Processes.signal("STOP", engine.pid());
                case ENGINE_IS_KILLED -> Processes.signal("KILL", engine.pid());
                case GUARDIAN_IS_KILLED -> Processes.signal("KILL", guardian);
                case GUARDIAN_FREEZES_AND_HEAT_GOES_OFF -> {
                    Processes.signal("STOP", guardian);
                    switchedOff(engine);
                }
                case BOTH_ARE_KILLED -> {
                    Processes.signal("STOP", engine.pid());
                    Processes.signal("KILL", guardian);
                    Processes.signal("KILL", engine.pid());
                }
                case GUARDIAN_IS_TOLD_TO_END -> {
                    Processes.signal("STOP", engine.pid());
                    Processes.signal("TERM", guardian);
                }
                case HEAT_GOES_OFF -> {
                    assertTrue(Processes.within(5_000, () -> log(logs).contains("working")));
                    return switchedOff(engine).endsWith("last output: working");
                }
                case RUNS_FOLLOW_EACH_OTHER -> {
                    assertTrue(Processes.within(9_000, () -> log(logs).contains("[run 4 started]")));
                    return Processes.with(sleep).size() <= 1;
                }
            }
            return Processes.within(millis, () -> Processes.with(sleep).isEmpty());
        } finally {
            engine.destroyForcibly();
            Processes.with(token).forEach(left -> ProcessHandle.of(left).ifPresent(ProcessHandle::destroyForcibly));
        }
    }

    private static String switchedOff(Process engine) throws IOException {
        engine.getOutputStream().write('x');
        engine.getOutputStream().flush();
        return engine.inputReader().readLine();
    }

    private static String log(Path logs) {
        try {
            return Files.readString(logs.resolve("load-1.log"), StandardCharsets.UTF_8);
        } catch (IOException e) {
            return "";
        }
    }
}
