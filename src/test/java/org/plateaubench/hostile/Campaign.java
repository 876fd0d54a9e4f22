package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.LongStream;

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
    private final Map<Invariant, List<String>> breaches = new EnumMap<>(Invariant.class);
    private long nights;
    private long ticks;
    private long passes;
    private long counted;
    private double seconds;

    /** What one night gave. */
    record Outcome(Story story, List<Breach> breaches, List<PassStory> passes) {}

    static Outcome live(Ticket ticket) {
        Story story = HostileNight.live(Scenario.draw(ticket));
        List<PassStory> passes;
        try {
            passes = PassStory.of(story);
        } catch (java.io.IOException | RuntimeException e) {
            passes = List.of();
        }
        return new Outcome(story, Invariant.breaches(story), passes);
    }

    Campaign run(long first, long last) {
        LongStream.rangeClosed(first, last)
                .parallel()
                .mapToObj(seed -> live(Ticket.of(seed)))
                .forEach(this::take);
        return this;
    }

    private synchronized void take(Outcome outcome) {
        Story story = outcome.story();
        nights++;
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
        List<String> seen = new ArrayList<>();
        for (Mishap m : story.scenario().mishaps()) {
            if (m.fromMillis() <= end) {
                Count count = mishaps.computeIfAbsent(m.what(), k -> new Count());
                count.injected++;
                if (!seen.contains(m.what())) {
                    seen.add(m.what());
                    count.nights++;
                    count.survived += outcome.breaches().isEmpty() ? 1 : 0;
                }
            }
        }
        for (Breach breach : outcome.breaches()) {
            breaches.computeIfAbsent(breach.invariant(), k -> new ArrayList<>())
                    .add(story.scenario().ticket() + ": " + breach.detail());
        }
    }

    boolean clean() {
        return breaches.isEmpty();
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
        t.append(String.format(Locale.ROOT, "%n  %-18s %9s %9s %9s%n", "mishap", "injected", "nights", "survived"));
        mishaps.forEach((what, c) ->
                t.append(String.format(Locale.ROOT, "  %-18s %9d %9d %9d%n", what, c.injected, c.nights, c.survived)));
        t.append(String.format(Locale.ROOT, "%n  %-22s %7s%n", "invariant", "broken"));
        for (Invariant invariant : Invariant.values()) {
            List<String> found = breaches.getOrDefault(invariant, List.of());
            t.append(String.format(Locale.ROOT, "  %-22s %7d  %s%n", invariant, found.size(), invariant.text()));
            found.stream()
                    .sorted()
                    .limit(8)
                    .forEach(f -> t.append("      ").append(f).append('\n'));
        }
        return t.toString();
    }

    public static void main(String[] arguments) {
        if (arguments.length == 1) {
            Outcome o = live(Ticket.parse(arguments[0]));
            System.out.println(o.story().scenario());
            System.out.println(
                    new String(o.story().files().planText().bytes(), java.nio.charset.StandardCharsets.UTF_8));
            System.out.println(
                    new String(o.story().files().benchText().bytes(), java.nio.charset.StandardCharsets.UTF_8));
            try {
                o.story().journal().forEach(System.out::println);
            } catch (java.io.IOException e) {
                throw new java.io.UncheckedIOException(e);
            }
            o.story().end().ifPresent(System.out::println);
            o.story().thrown().ifPresent(Throwable::printStackTrace);
            o.passes()
                    .forEach(p -> System.out.println(p.name + " " + p.step + " begun " + p.begunTick + " soak "
                            + p.soakTick + " settled " + p.settled + "@" + p.settledTick + " dwell " + p.fromTick + "-"
                            + p.toTick + " done " + p.done + " spoiled " + p.spoiled + " " + p.reason));
            o.breaches().forEach(System.out::println);
            return;
        }
        System.out.println(new Campaign()
                .run(Long.parseLong(arguments[0]), Long.parseLong(arguments[1]))
                .text());
    }
}
