package org.plateaubench.results;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import org.plateaubench.results.PassResult.Status;

/** What the journal says about passes, baselines and the end of a night. */
final class JournalScan {

    private final Map<String, Entry> passes = new LinkedHashMap<>();
    private final Map<String, Double> baselines = new LinkedHashMap<>();
    private String ending = "not ended";
    private String reason = "";
    private boolean simulated;

    /** One pass while the journal is read. */
    private static final class Entry {
        private final String step;
        private final boolean reference;
        private Status status = Status.CUT;
        private String reason = "";
        private boolean settled;
        private double soakSeconds = Double.NaN;
        private DwellMeans dwell;

        Entry(String step, boolean reference) {
            this.step = step;
            this.reference = reference;
        }
    }

    JournalScan(List<Map<String, Object>> journal) {
        journal.forEach(this::take);
    }

    private void take(Map<String, Object> line) {
        if ("header".equals(line.get("type"))) {
            simulated = Boolean.TRUE.equals(line.get("simulated"));
        }
        Object decision = line.get("decision");
        if (decision == null) {
            return;
        }
        switch (decision.toString()) {
            case "pass-begun" ->
                passes.put(
                        text(line, "pass"), new Entry(text(line, "step"), Boolean.TRUE.equals(line.get("reference"))));
            case "settled", "not-settled" -> soak(line, decision.equals("settled"));
            case "pass-done" -> {
                Entry pass = passes.get(text(line, "pass"));
                pass.status = Status.DONE;
                pass.dwell = new DwellMeans(whole(line, "from-tick"), whole(line, "to-tick"));
            }
            case "pass-spoiled" -> {
                Entry pass = passes.get(text(line, "pass"));
                pass.status = Status.SPOILED;
                pass.reason = text(line, "reason");
            }
            case "baseline" -> baselines.put(text(line, "at"), number(line, "rise"));
            case "end" -> {
                ending = text(line, "how");
                reason = text(line, "reason");
            }
            default -> {
                // Other decisions explain a night; results do not need them.
            }
        }
    }

    private void soak(Map<String, Object> line, boolean settled) {
        if ("soak".equals(line.get("stage"))) {
            Entry pass = passes.get(text(line, "pass"));
            pass.settled = settled;
            pass.soakSeconds = number(line, "after-seconds");
        }
    }

    boolean simulated() {
        return simulated;
    }

    String ending() {
        return ending;
    }

    String reason() {
        return reason;
    }

    OptionalDouble baseline(String at) {
        return baselines.containsKey(at) ? OptionalDouble.of(baselines.get(at)) : OptionalDouble.empty();
    }

    /** The dwells of all passes that had one, to be filled from the samples. */
    List<DwellMeans> dwells() {
        return passes.values().stream()
                .filter(p -> p.dwell != null)
                .map(p -> p.dwell)
                .toList();
    }

    List<PassResult> passes() {
        List<PassResult> results = new ArrayList<>();
        passes.forEach((name, p) -> results.add(new PassResult(
                name,
                p.step,
                p.reference,
                p.status,
                p.reason,
                p.settled,
                p.soakSeconds,
                p.dwell == null ? -1 : p.dwell.fromTick(),
                p.dwell == null ? -1 : p.dwell.toTick(),
                p.dwell == null ? PassResult.Dwell.NONE : p.dwell.result())));
        return results;
    }

    private static String text(Map<String, Object> line, String field) {
        return String.valueOf(line.get(field));
    }

    private static long whole(Map<String, Object> line, String field) {
        return ((Number) line.get(field)).longValue();
    }

    private static double number(Map<String, Object> line, String field) {
        return line.get(field) instanceof Number n ? n.doubleValue() : Double.NaN;
    }
}
