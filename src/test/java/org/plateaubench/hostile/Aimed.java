package org.plateaubench.hostile;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.ConcurrentHashMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Nights in which the mishap that a rule is for comes at the very moment that needs it: drawn plan, bench and room, no
 * drawn mishaps, and those of aimed.txt in their place.
 *
 * @param rule the rule that is provoked
 * @param needs what plan or bench file must hold, or must not behind a "!"
 * @param mishaps what goes wrong, each at a time that counts from something
 */
record Aimed(String rule, List<String> needs, List<String> mishaps) {

    private static final Pattern TIME =
            Pattern.compile("(?<=:)(start|heat|cooldown|approach|soak|settled|dwell|done)([-+][0-9.]+)");
    private static final Map<Long, Map<String, Double>> BEGINS = new ConcurrentHashMap<>();

    static List<Aimed> all() throws IOException {
        try (InputStream in = Aimed.class.getResourceAsStream("/hostile/aimed.txt")) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .filter(line -> !line.startsWith("#"))
                    .map(line -> Arrays.stream(line.split("\\|", -1))
                            .map(String::strip)
                            .toList())
                    .map(parts -> new Aimed(parts.get(0), words(parts.get(1), "; *"), words(parts.get(2), " +")))
                    .toList();
        }
    }

    private static List<String> words(String text, String between) {
        return Arrays.stream(text.split(between)).filter(w -> !w.isEmpty()).toList();
    }

    /** {@return tickets of such nights, by the first so many seeds} */
    List<String> tickets(long seeds) {
        List<String> tickets = new ArrayList<>();
        for (long seed = 1; seed <= seeds; seed++) {
            Ticket honest = new Ticket(seed, Optional.of(Set.of()), EnumSet.of(Ticket.Cut.CALM), List.of());
            Scenario scenario = Scenario.draw(honest);
            String text = new String(scenario.files().planText().bytes(), StandardCharsets.UTF_8)
                    + new String(scenario.files().benchText().bytes(), StandardCharsets.UTF_8);
            if (needs.stream().allMatch(n -> n.startsWith("!") ? !text.contains(n.substring(1)) : text.contains(n))) {
                ticket(honest).ifPresent(tickets::add);
            }
        }
        return tickets;
    }

    private Optional<String> ticket(Ticket honest) {
        Map<String, Double> begins =
                BEGINS.computeIfAbsent(honest.seed(), s -> begins(HostileNight.live(Scenario.draw(honest))));
        List<String> added = new ArrayList<>();
        for (String mishap : mishaps) {
            Matcher time = TIME.matcher(mishap);
            if (!time.find() || !begins.containsKey(time.group(1))) {
                return Optional.empty();
            }
            double at = Math.max(0, begins.get(time.group(1)) + Double.parseDouble(time.group(2)));
            // A signal at an even tenth comes into the middle of a tick.
            boolean even = mishap.startsWith(Mishap.SIGNAL);
            added.add(time.replaceFirst(Dice.text(even ? StrictMath.rint(at * 5) / 5 : at)));
        }
        return Optional.of(honest + "/" + String.join("+", added));
    }

    /** When each stage began first, s. */
    private static Map<String, Double> begins(Story night) {
        Map<String, Double> begins = new TreeMap<>();
        begins.put("start", 0.0);
        NavigableMap<Long, TruthRow> rows = night.byTick();
        try {
            for (Map<String, Object> line : night.journal()) {
                TruthRow row = rows.get(((Number) line.getOrDefault("tick", -1L)).longValue());
                if (row == null) {
                    continue;
                }
                double seconds = row.millis() / 1000.0;
                if ("stage".equals(line.get("decision"))) {
                    begins.putIfAbsent(String.valueOf(line.get("stage")), seconds);
                } else if ("heat".equals(line.get("target")) && !"off".equals(line.get("asked"))) {
                    begins.putIfAbsent("heat", seconds);
                } else if ("settled".equals(line.get("decision")) && "soak".equals(line.get("stage"))) {
                    begins.putIfAbsent("settled", seconds);
                } else if ("pass-done".equals(line.get("decision")) && line.containsKey("rise")) {
                    begins.putIfAbsent("done", seconds);
                }
            }
        } catch (IOException e) {
            throw new java.io.UncheckedIOException(e);
        }
        return begins;
    }
}
