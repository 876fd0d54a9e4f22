package org.plateaubench.report;

import java.io.IOException;
import java.time.OffsetDateTime;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.DoubleStream;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.equilibrium.LagFilter;
import org.plateaubench.equilibrium.SlopeRule;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.report.chart.Series;

/**
 * What charts draw of a night: its samples as series over the seconds since it began, and its stages. Values are
 * corrected, as the engine saw them.
 */
final class Trace {

    /** Step of the coolant's readings while none was seen, as the engine takes it. */
    private static final double USUAL_STEP_KELVIN = 0.01;

    private final DoubleStream.Builder seconds = DoubleStream.builder();
    private final Map<String, DoubleStream.Builder> values = new LinkedHashMap<>();
    private final List<Span> spans = new ArrayList<>();
    private final NightFiles files;
    private final LagFilter ambient;
    private final OffsetDateTime start;
    /** Periods of heating cycles that the engine found, by tick and stage. */
    private final Map<String, Double> cycles = new LinkedHashMap<>();

    private final Deque<double[]> readings = new ArrayDeque<>();
    private double coolantStepKelvin = Double.POSITIVE_INFINITY;
    private double coolantCelsius = Double.NaN;
    private long tick = -1;
    private SlopeRule rule;
    private String stage = "";
    private String pass = "";
    private double spanBegan;
    private double last;
    private double[] places = {};
    private final Map<String, Series> series = new LinkedHashMap<>();

    /**
     * A stage under way.
     *
     * @param stage its name
     * @param pass name of the pass, or empty
     * @param from when it began, s
     * @param to when it ended, s
     */
    record Span(String stage, String pass, double from, double to) {}

    private Trace(NightFiles files, OffsetDateTime start) {
        this.files = files;
        this.start = start;
        this.ambient = new LagFilter(
                files.bench().loopTimeConstantSeconds(), files.bench().probeLagSeconds());
    }

    /**
     * Reads the samples of a night.
     *
     * @param files its plan, fans and bench file
     * @param night the night
     * @param start local time at which it began
     * @return its trace
     * @throws IOException if the samples cannot be read
     */
    static Trace of(NightFiles files, RecordedNight night, OffsetDateTime start) throws IOException {
        Trace trace = new Trace(files, start);
        for (Map<String, Object> line : night.journal()) {
            if ("heating-cycle".equals(line.get("decision"))) {
                double period = Fields.of(line).value("period-seconds");
                trace.cycles.put(line.get("tick") + " " + line.get("stage"), period);
            }
        }
        Readout.Columns columns = new Readout.Columns(files.bench());
        night.samples(row -> trace.take(row, new Readout(row.sample(), columns)));
        trace.finish();
        return trace;
    }

    private void take(RecordedNight.Row row, Readout readout) {
        double now = readout.seconds();
        if (!row.stage().equals(stage) || !row.pass().equals(pass)) {
            closeSpan(now);
            stage = row.stage();
            pass = row.pass();
            readings.clear();
            rule = settle().map(settle -> rule(settle, tick)).orElse(null);
        }
        tick = row.sample().tick();
        last = now;
        double ambientNow = readout.ambientCelsius();
        double rise = Double.NaN;
        if (!Double.isNaN(ambientNow)) {
            rise = readout.coolantCelsius() - ambient.add(now, ambientNow);
        }
        seeStep(readout.coolantCelsius());
        seconds.add(now);
        put("ambient", ambientNow);
        put("coolant", readout.coolantCelsius());
        put("cpu", readout.cpuCelsius());
        put("steepest", steepest(now, rise));
    }

    private void seeStep(double coolant) {
        if (!Double.isNaN(coolant)) {
            double step = Math.abs(coolant - coolantCelsius);
            coolantStepKelvin = step > 0.0 ? Math.min(coolantStepKelvin, step) : coolantStepKelvin;
            coolantCelsius = coolant;
        }
    }

    /** What the rule compares with its limit after this reading, K/h; NaN where it judges nothing. */
    private double steepest(double now, double rise) {
        if (rule == null || Double.isNaN(rise)) {
            return Double.NaN;
        }
        Measurement.Settle settle = settle().orElseThrow();
        rule.add(now, rise);
        readings.addLast(new double[] {now, rise});
        while (readings.getFirst()[0] < now - settle.shortestSeconds()) {
            readings.removeFirst();
        }
        if (cycles.containsKey(tick + " " + stage)) {
            rule = rule(settle, tick);
            readings.forEach(reading -> rule.add(reading[0], reading[1]));
        }
        return rule.verdict().windowFull()
                ? Math.abs(rule.verdict().slopeKelvinPerHour()) + rule.verdict().marginKelvinPerHour()
                : Double.NaN;
    }

    private void put(String name, double value) {
        values.computeIfAbsent(name, n -> DoubleStream.builder()).add(value);
    }

    private void closeSpan(double now) {
        if (!stage.isEmpty()) {
            spans.add(new Span(stage, pass, spanBegan, now));
        }
        spanBegan = now;
    }

    private void finish() {
        closeSpan(last);
        places = seconds.build().toArray();
        values.forEach((name, column) ->
                series.put(name, new Series(places, column.build().toArray())));
        values.clear();
    }

    /** What the stage under way waits for, if it waits for a slope. */
    private Optional<Measurement.Settle> settle() {
        return settle(stage);
    }

    Optional<Measurement.Settle> settle(String stageName) {
        return files.plan().thermal().flatMap(thermal -> switch (stageName) {
            case "soak" -> Optional.of(thermal.soak().until());
            case "cooldown", "baseline" -> Optional.of(thermal.cooldown().until());
            default -> Optional.empty();
        });
    }

    /** A rule as the engine made it at a tick, with the heating cycle that it had found there. */
    private SlopeRule rule(Measurement.Settle settle, long atTick) {
        Double period = cycles.get(atTick + " " + stage);
        return new SlopeRule(
                settle.slopeKelvinPerHour(),
                settle.windowSeconds(),
                settle.forSeconds(),
                settle.remainingRiseKelvin(),
                files.bench().slowTimeConstantSeconds(),
                Double.isInfinite(coolantStepKelvin) ? USUAL_STEP_KELVIN : coolantStepKelvin,
                period == null ? OptionalDouble.empty() : OptionalDouble.of(period));
    }

    /** A column over time; empty if the night has no sample. */
    Series series(String name) {
        return series.getOrDefault(name, new Series(new double[0], new double[0]));
    }

    List<Span> spans() {
        return spans;
    }

    /** When the last sample was taken, s. */
    double endSeconds() {
        return last;
    }

    OffsetDateTime start() {
        return start;
    }

    /** Time of a tick, s; that of the last sample if the tick is not there. */
    double secondsOfTick(long tick) {
        double at = tick * files.plan().sampleEverySeconds();
        return Math.min(at, last);
    }
}
