package org.plateaubench.hostile;

import static org.junit.jupiter.api.Assertions.assertFalse;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.LongStream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Switches each protective rule off in turn: an invariant must notice. A rule whose removal nobody notices is a missing
 * invariant, or a mishap that is never drawn. The nights that noticed it last time (mutants.txt) are lived through first,
 * then as many as {@code -Dplateau.hostile.mutants=400} says; {@link Mutants} prints the table.
 */
class MutantsTest {

    private static final long NIGHTS = Long.getLong("plateau.hostile.mutants", 300);

    static List<Mutant> mutants() {
        return Mutant.all();
    }

    @ParameterizedTest
    @MethodSource("mutants")
    void theRuleIsMissed(Mutant mutant) throws Exception {
        assertFalse(caught(mutant, NIGHTS).isEmpty(), "nobody notices that this rule is gone: " + mutant.rule());
    }

    static String caught(Mutant mutant, long nights) throws IOException, ReflectiveOperationException {
        List<String> tickets = new ArrayList<>();
        if (known().containsKey(mutant.rule())) {
            tickets.add(known().get(mutant.rule()));
        }
        LongStream.rangeClosed(1, nights).forEach(seed -> tickets.add(String.valueOf(seed)));
        return new MutantProgram(mutant).caught(tickets);
    }

    /** By rule the ticket of a night that noticed that it was gone. */
    private static Map<String, String> known() throws IOException {
        Map<String, String> known = new TreeMap<>();
        try (InputStream in = MutantsTest.class.getResourceAsStream("/hostile/mutants.txt")) {
            new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .filter(line -> !line.startsWith("#"))
                    .forEach(line ->
                            known.put(line.substring(line.indexOf(' ') + 1), line.substring(0, line.indexOf(' '))));
        }
        return known;
    }
}
