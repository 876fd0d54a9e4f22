package org.plateaubench.hostile;

import java.util.List;
import java.util.Locale;
import java.util.concurrent.atomic.AtomicInteger;

/**
 * Prints which invariant notices that a rule is gone, and the night that showed it; the last lines are those of
 * src/test/resources/hostile/mutants.txt. Arguments: how many nights each rule gets beside the known one, and a part of a
 * rule's name if only some are wanted.
 *
 * <pre>
 * mvn -q test-compile dependency:build-classpath -Dmdep.outputFile=target/classpath.txt
 * java -cp target/classes:target/test-classes:$(cat target/classpath.txt) org.plateaubench.hostile.Mutants 400
 * </pre>
 */
final class Mutants {

    private Mutants() {}

    public static void main(String[] arguments) {
        long nights = arguments.length == 0 ? 300 : Long.parseLong(arguments[0]);
        List<Mutant> wanted = Mutant.all().stream()
                .filter(m -> arguments.length < 2 || m.rule().contains(arguments[1]))
                .toList();
        String[] known = new String[wanted.size()];
        AtomicInteger nobody = new AtomicInteger();
        java.util.stream.IntStream.range(0, wanted.size()).parallel().forEach(i -> {
            Mutant mutant = wanted.get(i);
            String caught;
            try {
                caught = MutantsTest.caught(mutant, nights);
            } catch (java.io.IOException | ReflectiveOperationException | IllegalStateException e) {
                caught = "";
                System.out.println(e);
            }
            System.out.printf(Locale.ROOT, "%-66s %s%n", mutant.rule(), caught.isEmpty() ? "NOBODY" : caught);
            if (caught.isEmpty()) {
                nobody.incrementAndGet();
            } else {
                known[i] = caught.substring(caught.indexOf(' ') + 1) + " " + mutant.rule();
            }
        });
        System.out.println();
        for (String line : known) {
            if (line != null) {
                System.out.println(line);
            }
        }
        System.out.println("# " + nobody + " of " + wanted.size() + " unnoticed");
    }
}
