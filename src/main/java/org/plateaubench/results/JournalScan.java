package org.plateaubench.results;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.results.PassResult.Status;

/** What the journal says about passes, baselines and the end of a night. */
final class JournalScan {

    private final Map<String, Entry> passes = new LinkedHashMap<>();
    private final Map<String, Double> baselines = new LinkedHashMap<>();
    private final FanScan fans = new FanScan();
    private final AcousticScan acoustic = new AcousticScan();
    private final List<NightFinding> findings = new ArrayList<>();
    private String ending = "not ended";
    private String reason = "";
    private boolean simulated;

    /** One pass while the journal is read. */
    private static final class Entry {
        private final String step;
        private final String measurement;
        private final boolean reference;
        private Status status = Status.CUT;
        private String reason = "";
        private boolean settled;
        private double soakSeconds = Double.NaN;
        private DwellMeans dwell;

        Entry(JournalLine begun) {
            step = begun.text("step");
            measurement = begun.fields().containsKey("measurement") ? begun.text("measurement") : PassResult.THERMAL;
            reference = begun.flag("reference");
        }
    }

    JournalScan(List<Map<String, Object>> journal) {
        journal.forEach(fields -> take(new JournalLine(fields)));
    }

    private void take(JournalLine line) {
        if (line.text("type").equals("header")) {
            simulated = line.flag("simulated");
        }
        if (!line.fields().containsKey("decision")) {
            return;
        }
        String decision = line.text("decision");
        fans.take(decision, line);
        acoustic.take(decision, line);
        switch (decision) {
            case "pass-begun" -> passes.put(line.text("pass"), new Entry(line));
            case "finding" -> findings.add(new NightFinding(line.text("kind"), line.text("about"), line.text("text")));
            case "settled", "not-settled" -> soak(line, decision.equals("settled"));
            case "pass-done" -> {
                Entry pass = passes.get(line.text("pass"));
                pass.status = Status.DONE;
                if (pass.measurement.equals(PassResult.THERMAL)) {
                    pass.dwell = new DwellMeans(line.whole("from-tick"), line.whole("to-tick"));
                }
            }
            case "pass-spoiled" -> {
                Entry pass = passes.get(line.text("pass"));
                pass.status = Status.SPOILED;
                pass.reason = line.text("reason");
            }
            case "baseline" -> baselines.put(line.text("at"), line.number("rise"));
            case "end" -> {
                ending = line.text("how");
                reason = line.text("reason");
            }
            default -> {
                // Other decisions explain a night; results do not need them.
            }
        }
    }

    private void soak(JournalLine line, boolean settled) {
        if (line.text("stage").equals("soak")) {
            Entry pass = passes.get(line.text("pass"));
            pass.settled = settled;
            pass.soakSeconds = line.number("after-seconds");
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

    Optional<FanSetResult> fans() {
        return fans.result();
    }

    Optional<AcousticResult> acoustic() {
        return acoustic.result();
    }

    List<NightFinding> findings() {
        return findings;
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
                p.measurement,
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
}
