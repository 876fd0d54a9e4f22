package org.plateaubench.hostile;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.IntStream;
import java.util.stream.LongStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Switches each protective rule off in turn: an invariant must notice. A rule whose removal nobody notices is a missing
 * invariant, or a mishap that is never drawn. The night that noticed it last time (mutants.txt) is lived through first,
 * then as many as {@code -Dplateau.hostile.mutants=400} says; {@link Mutants} prints the table. Without that property
 * every sixteenth rule is switched off, and of all others it is checked that their text still stands in the source.
 */
class MutantsTest {

    private static final long NIGHTS = Long.getLong("plateau.hostile.mutants", 0);
    private static final int SHARE = 16;

    static List<Mutant> mutants() throws IOException {
        List<Mutant> known = new ArrayList<>();
        for (Mutant mutant : Mutant.all()) {
            if (NIGHTS > 0 || known().containsKey(mutant.rule())) {
                known.add(mutant);
            }
        }
        return IntStream.range(0, known.size())
                .filter(i -> NIGHTS > 0 || i % SHARE == 0)
                .mapToObj(known::get)
                .toList();
    }

    @ParameterizedTest
    @MethodSource("mutants")
    void theRuleIsMissed(Mutant mutant) throws Exception {
        assertFalse(caught(mutant, NIGHTS).isEmpty(), "nobody notices that this rule is gone: " + mutant.rule());
    }

    @Test
    void eachRuleStandsInTheSourceOnce() throws IOException {
        List<String> elsewhere = new ArrayList<>();
        for (Mutant mutant : Mutant.all()) {
            String source = Files.readString(MutantProgram.SOURCES.resolve(mutant.file()));
            int at = source.indexOf(mutant.before());
            if (at < 0 || source.indexOf(mutant.before(), at + 1) >= 0) {
                elsewhere.add(mutant.rule());
            }
        }
        assertEquals(List.of(), elsewhere, "change the table of mutants with the source");
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
    static Map<String, String> known() throws IOException {
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
