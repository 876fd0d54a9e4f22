package org.plateaubench.hostile;

import java.util.Set;
import java.util.TreeSet;
import org.plateaubench.hostile.Ticket.Cut;

/** Makes a night shorter that still breaks the same invariant: fewer mishaps, a smaller plan, a calmer room. */
final class Shrinker {

    private Shrinker() {}

    /**
     * Leaves out whatever can be left out.
     *
     * @param ticket a night that breaks an invariant
     * @param broken name of the invariant
     * @return a night that breaks it too, and from which nothing more can be left out
     */
    static Ticket shrink(Ticket ticket, String broken) {
        Ticket shortest = ticket;
        for (boolean shorter = true; shorter; ) {
            shorter = false;
            Set<Integer> kept = new TreeSet<>();
            for (int i = 0; i < Scenario.draw(shortest).drawn().size(); i++) {
                if (shortest.keeps(i)) {
                    kept.add(i);
                }
            }
            for (Integer mishap : kept.toArray(Integer[]::new)) {
                Set<Integer> fewer = new TreeSet<>(kept);
                fewer.remove(mishap);
                if (breaks(shortest.with(fewer), broken)) {
                    kept = fewer;
                    shortest = shortest.with(fewer);
                    shorter = true;
                }
            }
            for (Cut cut : Cut.values()) {
                if (!shortest.cuts().contains(cut) && breaks(shortest.without(cut), broken)) {
                    shortest = shortest.without(cut);
                    shorter = true;
                }
            }
        }
        return shortest;
    }

    private static boolean breaks(Ticket ticket, String broken) {
        return Campaign.live(ticket).breaches().stream()
                .anyMatch(b -> b.invariant().equals(broken));
    }
}
