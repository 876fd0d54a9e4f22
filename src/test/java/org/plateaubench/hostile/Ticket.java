package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

/**
 * Which night: its seed, and what was left out to make it shorter. As text for example {@code 8123},
 * {@code 8123/2,5} (only the mishaps 2 and 5) or {@code 8123/2/one-repeat,calm}. A fourth part adds what nobody would draw
 * in a long time: {@code 8123//calm/SILENT:supply:412:8+LEAK::500:1}.
 *
 * @param seed draws the night
 * @param mishaps numbers of the mishaps that happen, from 0; empty: all
 * @param cuts what else is left out
 * @param added what goes wrong beside what was drawn
 */
record Ticket(long seed, Optional<Set<Integer>> mishaps, Set<Cut> cuts, List<Mishap> added) {

    /** What can be left out of a night. */
    enum Cut {
        ONE_STEP,
        ONE_REPEAT,
        NO_REFERENCE,
        NO_CHARACTERISE,
        NO_ACOUSTIC,
        NO_CONDITIONS,
        CALM
    }

    Ticket {
        mishaps = mishaps.map(TreeSet::new);
        cuts = Set.copyOf(cuts);
        added = List.copyOf(added);
    }

    static Ticket of(long seed) {
        return new Ticket(seed, Optional.empty(), Set.of(), List.of());
    }

    static Ticket parse(String text) {
        String[] parts = text.split("/", -1);
        Set<Cut> cuts = EnumSet.noneOf(Cut.class);
        if (parts.length > 2 && !parts[2].isEmpty()) {
            for (String cut : parts[2].split(",")) {
                cuts.add(Cut.valueOf(cut.toUpperCase(Locale.ROOT).replace('-', '_')));
            }
        }
        Optional<Set<Integer>> mishaps = Optional.empty();
        if (parts.length > 1 && !parts[1].equals("all")) {
            Set<Integer> numbers = new TreeSet<>();
            for (String number : parts[1].isEmpty() ? new String[0] : parts[1].split(",")) {
                numbers.add(Integer.parseInt(number));
            }
            mishaps = Optional.of(numbers);
        }
        List<Mishap> added = new ArrayList<>();
        if (parts.length > 3) {
            for (String mishap : parts[3].split("\\+")) {
                added.add(Mishap.parse(mishap));
            }
        }
        return new Ticket(Long.parseLong(parts[0]), mishaps, cuts, added);
    }

    Ticket without(Cut cut) {
        Set<Cut> more = EnumSet.of(cut);
        more.addAll(cuts);
        return new Ticket(seed, mishaps, more, added);
    }

    Ticket with(Set<Integer> only) {
        return new Ticket(seed, Optional.of(only), cuts, added);
    }

    boolean keeps(int mishap) {
        return mishaps.map(m -> m.contains(mishap)).orElse(true);
    }

    @Override
    public String toString() {
        String kept = mishaps.map(m -> m.stream().map(String::valueOf).collect(Collectors.joining(",")))
                .orElse("all");
        String left = cuts.stream()
                .sorted()
                .map(c -> c.name().toLowerCase(Locale.ROOT).replace('_', '-'))
                .collect(Collectors.joining(","));
        String more = added.stream().map(Mishap::ticket).collect(Collectors.joining("+"));
        StringBuilder text = new StringBuilder().append(seed);
        text.append(mishaps.isEmpty() && left.isEmpty() && more.isEmpty() ? "" : "/" + kept);
        text.append(left.isEmpty() && more.isEmpty() ? "" : "/" + left);
        return text.append(more.isEmpty() ? "" : "/" + more).toString();
    }
}
