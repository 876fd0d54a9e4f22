package org.plateaubench.report;

import java.io.IOException;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.DoubleStream;
import org.plateaubench.benchfile.Commissioning;
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

    /** Resolution taken for probes whose bench file states none, as the engine takes it. */
    private static final double RESOLUTION_KELVIN = 0.01;

    private final DoubleStream.Builder seconds = DoubleStream.builder();
    private final Map<String, DoubleStream.Builder> values = new LinkedHashMap<>();
    private final List<Span> spans = new ArrayList<>();
    private final NightFiles files;
    private final LagFilter ambient;
    private final OffsetDateTime start;
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
        this.ambient = new LagFilter(files.bench().loopTimeConstantSeconds());
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
            rule = settle().map(this::rule).orElse(null);
        }
        last = now;
        double ambientNow = readout.ambientCelsius();
        double rise = Double.NaN;
        if (!Double.isNaN(ambientNow)) {
            rise = readout.coolantCelsius() - ambient.add(now, ambientNow);
        }
        double steepest = Double.NaN;
        if (rule != null && !Double.isNaN(rise)) {
            rule.add(now, rise);
            if (rule.verdict().windowFull()) {
                steepest = Math.abs(rule.verdict().slopeKelvinPerHour())
                        + rule.verdict().marginKelvinPerHour();
            }
        }
        seconds.add(now);
        put("ambient", ambientNow);
        put("coolant", readout.coolantCelsius());
        put("cpu", readout.cpuCelsius());
        put("rise", rise);
        put("steepest", steepest);
        put("fans", readout.fanRpm());
        put("duty", readout.fanDutyPercent());
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

    private SlopeRule rule(Measurement.Settle settle) {
        Optional<Commissioning> commissioning = files.bench().commissioning();
        return new SlopeRule(
                settle.slopeKelvinPerHour(),
                settle.windowSeconds(),
                settle.forSeconds(),
                settle.remainingRiseKelvin(),
                commissioning.isPresent()
                        ? OptionalDouble.of(commissioning.get().slowTimeConstantSeconds())
                        : OptionalDouble.empty(),
                RESOLUTION_KELVIN);
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
