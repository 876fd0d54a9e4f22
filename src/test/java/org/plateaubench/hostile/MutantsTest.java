package org.plateaubench.hostile;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
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
 * every twenty-fourth rule is switched off, and of all others it is checked that their text still stands in the source.
 */
class MutantsTest {

    private static final long NIGHTS = Long.getLong("plateau.hostile.mutants", 0);
    private static final int SHARE = 24;
    /** Of so many seeds nights are made that are aimed at a rule. */
    private static final long AIMED_SEEDS = Long.getLong("plateau.hostile.aimed", 60);

    static List<Mutant> mutants() throws IOException {
        List<Mutant> known = new ArrayList<>();
        for (Mutant mutant : Mutant.all()) {
            if (NIGHTS > 0 || known().containsKey(mutant.rule())) {
                known.add(mutant);
            }
        }
        return IntStream.range(0, known.size())
                .filter(i -> NIGHTS > 0 || i % SHARE == SHARE / 2)
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
            if (MutatedSource.count(mutant.file(), mutant.before()) != 1) {
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
        if (nights > 0) {
            for (Aimed aimed : Aimed.all()) {
                if (aimed.rule().equals(mutant.rule())) {
                    tickets.addAll(aimed.tickets(AIMED_SEEDS));
                }
            }
        }
        LongStream.rangeClosed(1, nights).forEach(seed -> tickets.add(String.valueOf(seed)));
        MutantProgram program = new MutantProgram(mutant);
        for (String ticket : tickets) {
            String caught = program.caught(ticket);
            if (!caught.isEmpty()) {
                // A night that the whole program does not live through says nothing of the rule.
                List<Breach> whole = Campaign.live(Ticket.parse(ticket)).breaches();
                if (whole.isEmpty()) {
                    return caught;
                }
                System.out.println(ticket + " is broken by the whole program: " + whole);
            }
        }
        return "";
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
