package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Consumer;
import org.plateaubench.night.Retrace;
import org.plateaubench.record.RecordedNight;

/** What must hold of the record. */
final class RecordChecks {

    private RecordChecks() {}

    static void whole(Story story, Consumer<String> breach) throws IOException {
        Set<Long> ticks = new TreeSet<>();
        Set<Long> truth = story.byTick().keySet();
        long lastTick = -1;
        long lastMillis = -1;
        for (RecordedNight.Row row : story.samples()) {
            long tick = row.sample().tick();
            if (tick <= lastTick || row.sample().missed() != tick - lastTick - 1) {
                breach.accept("tick " + tick + " with " + row.sample().missed() + " missed follows tick " + lastTick);
            }
            if (row.sample().offsetMillis() <= lastMillis) {
                breach.accept("the sample of tick " + tick + " was not taken after the one before");
            }
            lastTick = tick;
            lastMillis = row.sample().offsetMillis();
            ticks.add(tick);
        }
        Set<Long> unrecorded = new TreeSet<>(truth);
        unrecorded.removeAll(ticks);
        if (story.thrown().isEmpty() && (!unrecorded.isEmpty() || !truth.containsAll(ticks))) {
            breach.accept("ticks read and ticks recorded differ: " + unrecorded);
        }
        journal(story, ticks, breach);
    }

    private static void journal(Story story, Set<Long> ticks, Consumer<String> breach) throws IOException {
        List<Map<String, Object>> journal = story.journal();
        List<String> safe = new ArrayList<>();
        int ends = 0;
        for (int i = 0; i < journal.size(); i++) {
            Map<String, Object> line = journal.get(i);
            if (((Number) line.get("seq")).longValue() != i) {
                breach.accept("journal line " + i + " says " + line);
            }
            boolean header = "header".equals(line.get("type"));
            if (header != (i == 0)) {
                breach.accept("the header is journal line " + i);
            }
            // A night that goes on before its first tick was recorded says so before it.
            boolean before = ((Number) line.getOrDefault("tick", 0L)).longValue() == -1
                    && (line.containsKey("safe") || "resumed".equals(line.get("type")));
            if (!header && !before && !ticks.contains(((Number) line.get("tick")).longValue())) {
                breach.accept("no sample belongs to " + line);
            }
            boolean madeSafe = line.containsKey("safe");
            if (ends > 0 && !madeSafe) {
                breach.accept("after the end comes " + line);
            }
            if (madeSafe) {
                safe.add(String.valueOf(line.get("target")));
            }
            ends += "end".equals(line.get("decision")) ? 1 : 0;
        }
        if (story.end().isPresent()
                && (ends != 1 || safe.size() < 3 || !safe.get(0).equals("heat"))) {
            breach.accept(ends + " ends, made safe: " + safe);
        }
    }

    static void retraced(Story story, Consumer<String> breach) throws IOException {
        if (story.end().isEmpty()) {
            return;
        }
        try {
            Retrace.of(story.files(), story.record())
                    .ifPresent(d -> breach.accept(
                            "tick " + d.tick() + ": recorded " + d.recorded() + ", decided again " + d.decided()));
        } catch (Retrace.OtherRules e) {
            breach.accept(e.getMessage());
        }
    }
}
