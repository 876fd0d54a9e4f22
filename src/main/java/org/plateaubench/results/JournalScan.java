package org.plateaubench.results;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.results.PassResult.Status;
import org.plateaubench.units.Decimals;

/** What the journal says about passes, baselines and the end of a night. */
final class JournalScan {

    /** As much of a baseline's end is averaged; long enough for most of a heating cycle. */
    private static final double BASELINE_SECONDS = 600.0;

    private final Map<String, Entry> passes = new LinkedHashMap<>();
    private final Map<String, Baseline> baselines = new LinkedHashMap<>();
    private long baselineFromTick = -1;
    private final FanScan fans = new FanScan();
    private final AcousticScan acoustic = new AcousticScan();
    private final List<NightFinding> findings = new ArrayList<>();
    private String ending = "not ended";
    private String reason = "";
    private boolean simulated;

    /** A rise without load, and the ticks of its stage. */
    private record Baseline(double kelvin, long fromTick, long toTick) {}

    /** One pass while the journal is read. */
    private static final class Entry {
        private final String step;
        private final String measurement;
        private final boolean reference;
        private Status status = Status.CUT;
        private String reason = "";
        private boolean settled;
        private double soakSeconds = Double.NaN;
        private double remainingRiseKelvin = Double.NaN;
        private double slopeKelvinPerHour = Double.NaN;
        private long soakFromTick = -1;
        private long fromTick = -1;
        private long toTick = -1;

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
            case "stage" -> {
                if (line.text("stage").equals("soak")) {
                    passes.get(line.text("pass")).soakFromTick = line.whole("tick");
                } else if (line.text("stage").equals("baseline")) {
                    baselineFromTick = line.whole("tick");
                }
            }
            case "settled", "not-settled" -> soak(line, decision.equals("settled"));
            case "pass-done" -> {
                Entry pass = passes.get(line.text("pass"));
                pass.status = Status.DONE;
                if (pass.measurement.equals(PassResult.THERMAL)) {
                    pass.fromTick = line.whole("from-tick");
                    pass.toTick = line.whole("to-tick");
                }
            }
            case "pass-spoiled" -> {
                Entry pass = passes.get(line.text("pass"));
                pass.status = Status.SPOILED;
                pass.reason = line.text("reason");
            }
            case "baseline" ->
                baselines.put(
                        line.text("at"), new Baseline(line.number("rise"), baselineFromTick, line.whole("to-tick")));
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
            pass.remainingRiseKelvin = line.number("remaining-rise");
            pass.slopeKelvinPerHour = line.number("slope");
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
        return baselines.containsKey(at) ? OptionalDouble.of(baselines.get(at).kelvin()) : OptionalDouble.empty();
    }

    /**
     * By how much the rise without load changed in the night. A change counts where it is more than twice as large as
     * scatter and settling of the two make it uncertain.
     *
     * @param night the samples
     * @param bench the bench file
     * @return K; 0 where no change shows; empty unless it was measured at both ends
     */
    OptionalDouble baselineChange(NightColumns night, BenchFile bench) {
        if (!baselines.containsKey("start") || !baselines.containsKey("end")) {
            return OptionalDouble.empty();
        }
        PassResult.Dwell start = latterPart(baselines.get("start"), night, bench);
        PassResult.Dwell end = latterPart(baselines.get("end"), night, bench);
        double change = end.settledRiseKelvin() - start.settledRiseKelvin();
        double variance = 0.0;
        for (PassResult.Dwell part : List.of(start, end)) {
            variance += part.floorKelvin() * part.floorKelvin()
                    + part.settlingUncertaintyKelvin() * part.settlingUncertaintyKelvin();
        }
        return OptionalDouble.of(change * change > 4.0 * variance ? change : 0.0);
    }

    private static PassResult.Dwell latterPart(Baseline baseline, NightColumns night, BenchFile bench) {
        int last = night.rowOf(baseline.toTick());
        int from = night.rowOf(baseline.fromTick());
        while (night.seconds(last) - night.seconds(from) > BASELINE_SECONDS) {
            from++;
        }
        return DwellAnalysis.of(night, bench, baseline.fromTick(), night.tick(from), baseline.toTick());
    }

    Optional<FanSetResult> fans() {
        return fans.result();
    }

    Optional<AcousticResult> acoustic() {
        return acoustic.result();
    }

    /** Findings that the night wrote down, and a mark for each pass that went on although it had not settled. */
    List<NightFinding> findings() {
        List<NightFinding> all = new ArrayList<>(findings);
        passes.forEach((name, pass) -> {
            if (pass.status == Status.DONE && pass.measurement.equals(PassResult.THERMAL) && !pass.settled) {
                all.add(new NightFinding("not-settled", "pass " + name, bound(pass)));
            }
        });
        return all;
    }

    private static String bound(Entry pass) {
        return "had not settled after " + Decimals.fixed(pass.soakSeconds / 60.0, 0) + " min"
                + (Double.isFinite(pass.slopeKelvinPerHour)
                        ? ": slope " + Decimals.fixed(pass.slopeKelvinPerHour, 2) + " K/h"
                        : "")
                + (Double.isFinite(pass.remainingRiseKelvin)
                        ? ", up to " + Decimals.fixed(pass.remainingRiseKelvin, 2) + " K of rise may remain"
                        : "");
    }

    /** Where a pass lies in the samples: first tick of its soak, last tick of its dwell. */
    record Span(long soakFromTick, long toTick) {}

    /** The first pass of the thermal measurement that was done. */
    Optional<Span> firstThermalPass() {
        return passes.values().stream()
                .filter(p -> p.status == Status.DONE && p.toTick >= 0)
                .map(p -> new Span(p.soakFromTick, p.toTick))
                .findFirst();
    }

    /**
     * The passes, worked out.
     *
     * @param night the samples
     * @param bench the bench file
     * @return the passes in the order of execution
     */
    List<PassResult> passes(NightColumns night, BenchFile bench) {
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
                p.fromTick,
                p.toTick,
                p.fromTick < 0
                        ? PassResult.Dwell.NONE
                        : DwellAnalysis.of(night, bench, p.soakFromTick, p.fromTick, p.toTick),
                Double.NaN)));
        return results;
    }
}
