package org.plateaubench.hostile;

import java.util.Locale;

/**
 * Prints which invariant notices that a rule is gone, and the night that showed it; the last lines are those of
 * src/test/resources/hostile/mutants.txt.
 *
 * <pre>
 * mvn -q test-compile
 * mvn -q exec:java ... is not needed: java -cp target/classes:target/test-classes:... org.plateaubench.hostile.Mutants 2000
 * </pre>
 */
final class Mutants {

    private Mutants() {}

    public static void main(String[] arguments) throws Exception {
        long nights = arguments.length == 0 ? 300 : Long.parseLong(arguments[0]);
        StringBuilder known = new StringBuilder();
        for (Mutant mutant : Mutant.all()) {
            if (arguments.length > 1 && !mutant.rule().contains(arguments[1])) {
                continue;
            }
            String caught;
            try {
                caught = MutantsTest.caught(mutant, nights);
            } catch (IllegalStateException e) {
                caught = e.getMessage();
            }
            System.out.printf(Locale.ROOT, "%-62s %s%n", mutant.rule(), caught.isEmpty() ? "NOBODY" : caught);
            if (caught.contains(" ")) {
                known.append(caught.substring(caught.indexOf(' ') + 1))
                        .append(' ')
                        .append(mutant.rule())
                        .append('\n');
            }
        }
        System.out.println();
        System.out.print(known);
    }
}
