package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.LongStream;
import java.util.stream.Stream;

/** Lives through many nights and says what happened in them. */
final class Campaign {

    /** One kind of mishap over all nights: how often it was injected, and in how many nights. */
    private static final class Count {
        long injected;
        long nights;
        long survived;
    }

    private final Map<String, Count> mishaps = new TreeMap<>();
    private final Map<String, Long> exits = new TreeMap<>();
    private final Map<String, List<String>> breaches = new TreeMap<>();
    private long nights;
    private long ticks;
    private long passes;
    private long counted;
    private double seconds;

    /** What one night gave. */
    record Outcome(Story story, List<Breach> breaches, List<PassStory> passes, List<String> onDisk) {}

    static Outcome live(Ticket ticket) {
        Story story = HostileNight.live(Scenario.draw(ticket));
        List<PassStory> passes;
        try {
            passes = story.passes();
        } catch (java.io.IOException | RuntimeException e) {
            passes = List.of();
        }
        List<Breach> breaches = new ArrayList<>(Invariant.breaches(story));
        FolderNight.Outcome folder = onDisk(ticket) ? FolderNight.live(story.scenario()) : FolderNight.Outcome.NONE;
        breaches.addAll(folder.breaches());
        return new Outcome(story, breaches, passes, folder.mishaps());
    }

    /** One night in so many has its record on disk, where storage fails and programs are killed. */
    private static boolean onDisk(Ticket ticket) {
        return ticket.seed() % 10 == 0;
    }

    Campaign run(long first, long last) {
        LongStream.rangeClosed(first, last)
                .parallel()
                .mapToObj(seed -> live(Ticket.of(seed)))
                .forEach(this::take);
        return this;
    }

    synchronized void take(Outcome outcome) {
        Story story = outcome.story();
        nights++;
        if (nights % 500 == 0) {
            System.out.println(nights + " nights");
        }
        long end = story.rows().stream()
                .filter(r -> r.tick() >= 0)
                .mapToLong(TruthRow::millis)
                .max()
                .orElse(0);
        ticks += story.rows().stream().filter(r -> r.tick() >= 0).count();
        seconds += end / 1000.0;
        passes += outcome.passes().size();
        counted += outcome.passes().stream().filter(PassStory::counts).count();
        exits.merge(
                story.end().map(e -> e.exit().text()).orElse(story.thrown().isPresent() ? "thrown" : "not opened"),
                1L,
                Long::sum);
        List<String> befell = new ArrayList<>(outcome.onDisk());
        story.scenario().mishaps().stream()
                .filter(m -> m.fromMillis() <= end)
                .map(Mishap::what)
                .forEach(befell::add);
        befell.forEach(what -> mishaps.computeIfAbsent(what, k -> new Count()).injected++);
        befell.stream().distinct().map(mishaps::get).forEach(count -> {
            count.nights++;
            count.survived += outcome.breaches().isEmpty() ? 1 : 0;
        });
        for (Breach breach : outcome.breaches()) {
            System.out.println(story.scenario().ticket() + " " + breach);
            breaches.computeIfAbsent(breach.invariant(), k -> new ArrayList<>())
                    .add(story.scenario().ticket() + ": " + breach.detail());
        }
    }

    /** {@return of every invariant that was broken a night that breaks it, made as short as it can be} */
    List<String> broken() {
        List<String> shortest = new ArrayList<>();
        breaches.forEach((invariant, nights) -> {
            Ticket first = Ticket.parse(
                    nights.stream().sorted().findFirst().orElseThrow().split(": ")[0]);
            Ticket ticket = Shrinker.shrink(first, invariant);
            live(ticket).breaches().stream()
                    .filter(b -> b.invariant().equals(invariant))
                    .forEach(b -> shortest.add(invariant + " in night " + ticket + ": " + b.detail()));
        });
        return shortest;
    }

    /** {@return the tables} */
    String text() {
        StringBuilder t = new StringBuilder();
        t.append(String.format(
                Locale.ROOT,
                "%d hostile nights, %.0f h of their time, %d ticks, %d passes begun, %d count%n",
                nights,
                seconds / 3600,
                ticks,
                passes,
                counted));
        exits.forEach((exit, count) -> t.append(String.format(Locale.ROOT, "  %-20s %6d%n", exit, count)));
        t.append(String.format(Locale.ROOT, "%n  %-36s %9s %9s %9s%n", "mishap", "injected", "nights", "survived"));
        mishaps.forEach((what, c) ->
                t.append(String.format(Locale.ROOT, "  %-36s %9d %9d %9d%n", what, c.injected, c.nights, c.survived)));
        t.append(String.format(Locale.ROOT, "%n  %-22s %7s%n", "invariant", "broken"));
        Map<String, String> invariants = new LinkedHashMap<>();
        Stream.of(Invariant.values()).forEach(i -> invariants.put(i.name(), i.text()));
        Stream.of(FolderInvariant.values()).forEach(i -> invariants.put(i.name(), i.text()));
        invariants.forEach((invariant, text) -> {
            List<String> found = breaches.getOrDefault(invariant, List.of());
            t.append(String.format(Locale.ROOT, "  %-22s %7d  %s%n", invariant, found.size(), text));
            found.stream()
                    .sorted()
                    .limit(8)
                    .forEach(f -> t.append("      ").append(f).append('\n'));
        });
        return t.toString();
    }

    /** For a look at one or many nights while this is worked on: a ticket, or the first and the last seed. */
    public static void main(String[] arguments) {
        if (arguments.length == 1) {
            System.out.println(Tale.of(live(Ticket.parse(arguments[0]))));
        } else {
            Campaign campaign = new Campaign().run(Long.parseLong(arguments[0]), Long.parseLong(arguments[1]));
            System.out.println(campaign.text());
            campaign.broken().forEach(System.out::println);
        }
    }
}
