package org.plateaubench.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.plan.Measurement;
import org.plateaubench.report.chart.Axis;
import org.plateaubench.report.chart.Chart;
import org.plateaubench.report.chart.Series;
import org.plateaubench.report.chart.Ticks;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;

/** The charts that go along the night's time: stages shaded, passes named. */
final class NightCharts {

    private static final int TIME_TICKS = 10;
    private static final double LABELS = 78;
    /** Slopes beyond so many times the largest limit are cut off: what matters is near the limit. */
    private static final double SLOPE_LIMITS_SHOWN = 4.0;

    private final Night night;
    private final Trace trace;
    private final Axis time;
    private final Map<String, Fields> passes = new LinkedHashMap<>();

    NightCharts(Night night) {
        this.night = night;
        this.trace = night.trace();
        double end = Math.max(trace.endSeconds(), 1.0);
        time = new Axis("local time", 0, end, Ticks.ofDay(trace.start(), 0, end, TIME_TICKS));
        night.passes().forEach(pass -> passes.put(pass.text("pass"), pass));
    }

    void into(Html html) {
        html.figure(
                temperatures(),
                "Corrected readings; of every few seconds the lowest and the highest are drawn. "
                        + "Shaded: dwells, which are averaged; striped: passes that do not count. Above: block.place of the pass, "
                        + "and its step or speed. The strip below names the stages.");
        if (!Double.isNaN(trace.series("cpu").high())) {
            html.figure(processor(), "The same, for the processor.");
        }
        if (!Double.isNaN(trace.series("steepest").low())) {
            html.figure(
                    slope(),
                    "What the rule compares with its limit: the size of the least-squares slope of the rise over the "
                            + "trailing window, and its one-sided 95 % margin on top. It begins when the window is "
                            + "full; what is steeper than the chart is cut off. Diamonds: the values at which the "
                            + "night went on.");
        }
    }

    private String temperatures() {
        Series coolant = trace.series("coolant");
        Series ambient = trace.series("ambient");
        OptionalDouble limit =
                night.files().plan().coolantLimitCelsius(night.files().bench());
        String highest = number(coolant.high(), 1);
        Chart chart = new Chart(
                "temperatures",
                "Temperatures over the night",
                "Coolant from " + number(coolant.low(), 1) + " to " + highest + " °C, ambient from "
                        + number(ambient.low(), 1) + " to " + number(ambient.high(), 1) + " °C, in "
                        + Durations.text(trace.endSeconds()) + ", "
                        + (limit.isPresent()
                                ? "limit of the coolant " + number(limit.getAsDouble(), 1) + " °C"
                                : "no limit of the coolant")
                        + ".",
                time,
                Axis.upright("temperature, °C", lower(ambient, coolant), upper(ambient, coolant)),
                250,
                LABELS,
                true,
                night.mark());
        stages(chart);
        limit.ifPresent(l -> chart.limit(0, trace.endSeconds(), l, "limit " + Decimals.shortest(l, 1) + " °C"));
        chart.line(coolant, 1, "coolant");
        chart.line(ambient, 2, "ambient");
        return chart.svg();
    }

    private String processor() {
        Series cpu = trace.series("cpu");
        Chart chart = new Chart(
                "processor",
                "Processor temperature over the night",
                "Processor from " + number(cpu.low(), 1) + " to " + number(cpu.high(), 1) + " °C.",
                time,
                Axis.upright("temperature, °C", cpu.low(), cpu.high()),
                120,
                LABELS,
                true,
                night.mark());
        stages(chart);
        chart.line(cpu, 3, "processor");
        return chart.svg();
    }

    private String slope() {
        Series steepest = trace.series("steepest");
        List<Fields> verdicts = new ArrayList<>(night.decisions("settled"));
        verdicts.addAll(night.decisions("not-settled"));
        double largest = trace.spans().stream()
                .map(span -> trace.settle(span.stage()))
                .flatMap(Optional::stream)
                .mapToDouble(Measurement.Settle::slopeKelvinPerHour)
                .max()
                .orElse(1.0);
        Chart chart = new Chart(
                "slope",
                "Slope against its limit",
                verdicts.size() + " times a stage waited for the slope; "
                        + night.decisions("settled").size() + " of them settled.",
                time,
                Axis.upright("size of the slope and its margin, K/h", 0, largest * SLOPE_LIMITS_SHOWN),
                150,
                LABELS,
                true,
                night.mark());
        stages(chart);
        String label = "limit";
        for (Trace.Span span : trace.spans()) {
            Optional<Measurement.Settle> settle = trace.settle(span.stage());
            if (settle.isPresent()) {
                chart.limit(span.from(), span.to(), settle.get().slopeKelvinPerHour(), label);
                label = "";
            }
        }
        chart.line(steepest, 4, "slope");
        for (Fields verdict : verdicts) {
            double steep = Math.abs(verdict.value("slope")) + verdict.value("margin");
            if (steep <= largest * SLOPE_LIMITS_SHOWN) {
                double at = trace.secondsOfTick((long) verdict.value("tick"));
                chart.point(
                        at,
                        steep,
                        Double.NaN,
                        3,
                        "",
                        night.clock(at) + " " + verdict.text("stage") + " " + verdict.text("decision") + ": slope "
                                + verdict.text("slope") + " ± " + verdict.text("margin") + " K/h");
            }
        }
        return chart.svg();
    }

    /** Shades dwells and passes that do not count, names passes, and draws the strip of stages. */
    private void stages(Chart chart) {
        List<Trace.Span> spans = trace.spans();
        for (int i = 0; i < spans.size(); i++) {
            Trace.Span span = spans.get(i);
            boolean begins = !span.pass().isEmpty()
                    && (i == 0 || !spans.get(i - 1).pass().equals(span.pass()));
            if (begins) {
                int last = i;
                while (last + 1 < spans.size() && spans.get(last + 1).pass().equals(span.pass())) {
                    last++;
                }
                name(chart, span, spans.get(last).to());
            }
            if (span.stage().equals("dwell") && counts(span.pass())) {
                chart.shade(span.from(), span.to(), "dwell");
            }
            chart.strip(span.from(), span.to(), "stage stage-" + span.stage(), span.stage());
        }
    }

    private boolean counts(String pass) {
        return !passes.containsKey(pass) || passes.get(pass).text("status").equals("done");
    }

    private void name(Chart chart, Trace.Span first, double to) {
        String number = first.pass().replaceAll("/1$", "");
        Fields pass = passes.getOrDefault(first.pass(), Fields.of(Map.of()));
        if (!counts(first.pass())) {
            chart.stripe(first.from(), to);
            chart.head(first.from(), to, 0, number + " " + pass.text("status"), number);
        } else {
            chart.head(first.from(), to, 0, number);
        }
        String speed = pass.has("fan_speed_rpm") ? pass.rounded("fan_speed_rpm", 0, "") : "";
        chart.head(first.from(), to, 1, pass.text("step"), speed.isEmpty() ? "" : speed + " rpm", speed);
    }

    private static double lower(Series one, Series other) {
        return Double.isNaN(one.low()) ? other.low() : Math.min(one.low(), other.low());
    }

    private static double upper(Series one, Series other) {
        return Double.isNaN(one.high()) ? other.high() : Math.max(one.high(), other.high());
    }

    private static String number(double value, int decimals) {
        return Double.isNaN(value) ? Fields.NONE : Decimals.fixed(value, decimals);
    }
}
