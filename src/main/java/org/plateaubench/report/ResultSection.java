package org.plateaubench.report;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.DoubleStream;
import org.plateaubench.report.chart.Axis;
import org.plateaubench.report.chart.Chart;
import org.plateaubench.report.chart.Ticks;
import org.plateaubench.uncertainty.Rounded;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;

/** What was measured: the rise of each step, as a table and as a chart, and every pass with its reason. */
final class ResultSection {

    private static final int TIME_TICKS = 10;
    /** More labels than that would lie on each other. */
    private static final int MOST_LABELLED = 15;

    private final Night night;
    private final List<Fields> steps;
    private final String mark;

    ResultSection(Night night) {
        this.night = night;
        this.steps = night.results().list("steps");
        this.mark = night.markBefore();
    }

    /** Whether the plan measures rises at all; one may only look at the fans, or listen to them. */
    boolean planned() {
        return night.files().plan().thermal().isPresent();
    }

    void into(Html html) {
        if (!planned()) {
            return;
        }
        html.heading("results", "Rise of the coolant over the ambient");
        if (steps.stream().noneMatch(step -> step.has("coolant_rise_K"))) {
            html.element("p", "No pass was completed, so there is no result.");
            return;
        }
        html.figure(chart(), caption());
        html.table(table());
        if (steps.stream().anyMatch(step -> !step.list("budget").isEmpty())) {
            html.table(budget());
        }
        baseline(html);
        without(html);
    }

    private boolean intervals() {
        return steps.stream().anyMatch(step -> step.has("expanded_uncertainty_K"));
    }

    private String caption() {
        return "Means of the passes at equilibrium, brought to the speed of the setpoint and to one heat flow; "
                + (intervals() ? "bars: their 95 % intervals." : "this record gives no interval for them.");
    }

    private String chart() {
        List<Fields> shown =
                steps.stream().filter(step -> step.has("coolant_rise_K")).toList();
        double[] speeds = shown.stream().mapToDouble(ResultSection::speed).toArray();
        double[] rises = shown.stream()
                .flatMapToDouble(
                        s -> DoubleStream.of(s.value("coolant_rise_K") - half(s), s.value("coolant_rise_K") + half(s)))
                .toArray();
        List<String> said = new ArrayList<>();
        shown.forEach(step -> said.add(step.text("step") + ": " + rise(step)));
        Chart chart = new Chart(
                "rise",
                "Rise of the coolant at each step",
                String.join("; ", said) + ".",
                Axis.along("speed of the fans, rpm", low(speeds), high(speeds)),
                Axis.upright("rise of the coolant, K", low(rises), high(rises)),
                230,
                130,
                false,
                night.mark());
        for (Fields step : shown) {
            chart.point(
                    speed(step),
                    step.value("coolant_rise_K"),
                    step.value("expanded_uncertainty_K"),
                    1,
                    step.text("step") + ": " + rise(step),
                    step.text("step") + ": " + rise(step) + " at " + Decimals.fixed(speed(step), 0) + " rpm");
        }
        return chart.svg();
    }

    /** Speed that the rise of a step is stated at, rpm; older records state it at the mean speed. */
    private static double speed(Fields step) {
        return step.value(step.has("nominal_speed_rpm") ? "nominal_speed_rpm" : "fan_speed_rpm");
    }

    /** Rise of a pass as it enters the mean of its step; older records have it only as it was measured. */
    private static Optional<BigDecimal> nominal(Fields pass) {
        Optional<BigDecimal> nominal = pass.number("nominal_rise_K");
        return nominal.isPresent() ? nominal : pass.number("coolant_rise_K");
    }

    private static double half(Fields step) {
        double half = step.value("expanded_uncertainty_K");
        return Double.isNaN(half) ? 0.0 : half;
    }

    private static double low(double[] values) {
        return DoubleStream.of(values).min().orElse(Double.NaN);
    }

    private static double high(double[] values) {
        return DoubleStream.of(values).max().orElse(Double.NaN);
    }

    /** Passes that enter the means. */
    private List<Fields> counted() {
        return night.passes().stream()
                .filter(p -> p.text("status").equals("done") && !p.flag("reference") && p.has("coolant_rise_K"))
                .toList();
    }

    /** The rise with its interval where there is one, such as "12.94 ± 0.11 K". */
    static String rise(Fields step) {
        return number(step) + " K";
    }

    private static String number(Fields step) {
        return step.has("expanded_uncertainty_K")
                ? Rounded.of(step.value("coolant_rise_K"), step.value("expanded_uncertainty_K"))
                        .toString()
                : step.rounded("coolant_rise_K", 2, "");
    }

    private Html.Table table() {
        Html.Table table = new Html.Table(mark + "each step over its passes")
                .column("step")
                .numbers(intervals() ? "coolant rise ± 95 %, K" : "coolant rise, K")
                .numbers("as measured, K")
                .numbers("passes")
                .column("settled")
                .numbers("spread, K")
                .numbers("processor rise, K")
                .numbers("fans, rpm")
                .numbers("heat, W")
                .numbers("coolant to ambient, K/W");
        for (Fields step : steps) {
            List<String> cells = new ArrayList<>();
            cells.add(step.text("step"));
            cells.add(number(step));
            cells.add(step.rounded("measured_rise_K", 2, ""));
            cells.add(step.text("passes"));
            cells.add(settled(step));
            cells.add(step.rounded("spread_K", 3, ""));
            cells.add(step.rounded("cpu_rise_K", 1, ""));
            cells.add(step.rounded("fan_speed_rpm", 0, ""));
            cells.add(step.rounded("heat_flow_W", 1, ""));
            cells.add(step.rounded("coolant_to_ambient_resistance_K_per_W", 4, ""));
            table.row("", cells);
        }
        return table;
    }

    /** What each interval is made of: one row a contribution, one column a step. */
    private Html.Table budget() {
        Html.Table table = new Html.Table(mark
                + "what the intervals are made of: standard uncertainties, K; what errs alike every night cancels where"
                + " nights of one bench are compared");
        table.column("from");
        steps.forEach(step -> table.numbers(step.text("step")));
        table.column("errs alike every night");
        Set<String> names = new LinkedHashSet<>();
        Set<String> alike = new LinkedHashSet<>();
        for (Fields step : steps) {
            for (Fields line : step.list("budget")) {
                names.add(line.text("name"));
                if (line.flag("shared_by_nights")) {
                    alike.add(line.text("name"));
                }
            }
        }
        for (String name : names) {
            List<String> cells = new ArrayList<>(List.of(name));
            steps.forEach(step -> cells.add(contribution(step, name)));
            cells.add(alike.contains(name) ? "yes" : "no");
            table.row("", cells);
        }
        List<String> combined = new ArrayList<>(List.of("all together"));
        List<String> factor = new ArrayList<>(List.of("coverage factor k"));
        List<String> expanded = new ArrayList<>(List.of("± 95 %, K"));
        for (Fields step : steps) {
            double all = step.value("expanded_uncertainty_K") / step.value("coverage_factor");
            combined.add(Double.isNaN(all) ? Fields.NONE : Decimals.fixed(all, 4));
            factor.add(step.rounded("coverage_factor", 2, ""));
            expanded.add(step.rounded("expanded_uncertainty_K", 4, ""));
        }
        List.of(combined, factor, expanded).forEach(cells -> cells.add(""));
        table.row("sum", combined);
        table.row("", factor);
        table.row("sum", expanded);
        if (steps.stream().anyMatch(step -> step.has("monte_carlo_confirms"))) {
            List<String> simulated = new ArrayList<>(List.of("95 % by Monte Carlo (JCGM 101), K"));
            steps.forEach(step -> simulated.add(step.rounded("monte_carlo_low_K", 3, "") + " to "
                    + step.rounded("monte_carlo_high_K", 3, "")
                    + (step.flag("monte_carlo_confirms") ? ", confirms" : ", does not confirm")));
            simulated.add("");
            table.row("", simulated);
        }
        return table;
    }

    private static String contribution(Fields step, String name) {
        return step.list("budget").stream()
                .filter(line -> line.text("name").equals(name))
                .map(line -> line.rounded("standard_uncertainty_K", 4, ""))
                .findFirst()
                .orElse(Fields.NONE);
    }

    private static String settled(Fields step) {
        String settled = step.text("settled");
        return settled.equals(step.text("passes")) ? "all" : settled + " of " + step.text("passes");
    }

    private void baseline(Html html) {
        Fields results = night.results();
        if (results.has("baseline_start_K")) {
            html.element(
                    "p",
                    mark + "Rise without load: " + results.rounded("baseline_start_K", 2, "K") + " at the start"
                            + (results.has("baseline_end_K")
                                    ? ", " + results.rounded("baseline_end_K", 2, "K")
                                            + " at the end. A change counts beyond twice its own uncertainty."
                                    : "; it was not measured again at the end."));
        }
    }

    /** Means with spoiled passes that were averaged all the same, and without those that were set aside. */
    private void without(Html html) {
        Set<String> aside = night.setAside();
        boolean anySpoiled =
                night.passes().stream().anyMatch(p -> p.text("status").equals("spoiled") && p.has("coolant_rise_K"));
        boolean anyAside = night.passes().stream().anyMatch(p -> aside.contains(p.text("pass")));
        if (!anySpoiled && !anyAside) {
            return;
        }
        Html.Table table = new Html.Table(mark + "the same with and without passes that are in doubt; a spoiled pass"
                        + " has no corrected rise, so beside it stand the rises as measured")
                .column("step")
                .numbers("as counted, K");
        if (anyAside) {
            table.numbers("without passes set aside, K");
        }
        if (anySpoiled) {
            table.numbers("as measured, K").numbers("as measured, with spoiled passes, K");
        }
        Predicate<Fields> counts = pass -> pass.text("status").equals("done");
        for (Fields step : steps) {
            List<String> cells = new ArrayList<>(List.of(
                    step.text("step"),
                    of(step.rounded("coolant_rise_K", 2, ""), Integer.parseInt(step.text("passes")))));
            if (anyAside) {
                cells.add(mean(step, counts.and(p -> !aside.contains(p.text("pass"))), ResultSection::nominal));
            }
            if (anySpoiled) {
                cells.add(mean(step, counts, pass -> pass.number("coolant_rise_K")));
                cells.add(mean(step, pass -> true, pass -> pass.number("coolant_rise_K")));
            }
            table.row("", cells);
        }
        html.table(table);
    }

    /** Mean of the passes of a step that are wanted, and how many they are. */
    private String mean(Fields step, Predicate<Fields> wanted, Function<Fields, Optional<BigDecimal>> rise) {
        List<BigDecimal> rises = night.passes().stream()
                .filter(p -> p.text("step").equals(step.text("step")) && !p.flag("reference"))
                .filter(wanted)
                .flatMap(p -> rise.apply(p).stream())
                .toList();
        if (rises.isEmpty()) {
            return Fields.NONE;
        }
        BigDecimal mean = rises.stream()
                .reduce(BigDecimal.ZERO, BigDecimal::add)
                .divide(BigDecimal.valueOf(rises.size()), 2, RoundingMode.HALF_UP);
        return of(mean.toPlainString(), rises.size());
    }

    private static String of(String mean, int passes) {
        return mean + " (" + passes + (passes == 1 ? " pass)" : " passes)");
    }

    /** Every pass that was begun, in its order. */
    void passes(Html html) {
        if (!planned()) {
            return;
        }
        html.heading("passes", "Passes");
        if (night.passes().isEmpty()) {
            html.element("p", "No pass was begun.");
            return;
        }
        html.element(
                "p",
                "In the order of the night; named by block, place in it and attempt. A pass that is spoiled stays in the "
                        + "record and out of the result.");
        if (counted().size() > steps.size()) {
            html.figure(
                    departures(),
                    "The rise of each pass that counts less the mean of its step, at the middle of its dwell; settling,"
                            + " speed and heat flow are corrected for. It shows what repeats, and what drifts.");
        }
        Set<String> aside = night.setAside();
        Html.Table table = new Html.Table(mark + "passes")
                .column("pass")
                .column("step")
                .column("begun")
                .column("status")
                .numbers("soak")
                .column("settled")
                .numbers("rise as measured, K")
                .numbers("as it counts, K")
                .numbers("fans, rpm")
                .numbers("ambient, °C")
                .numbers("heat, W")
                .column("reason");
        for (Fields pass : night.passes()) {
            String name = pass.text("pass");
            boolean setAside = aside.contains(name);
            String status = pass.text("status")
                    + (pass.flag("reference") ? ", reference" : "")
                    + (setAside ? ", set aside" : "");
            table.row(
                    pass.text("status").equals("done") && !setAside ? "" : "out",
                    List.of(
                            name,
                            pass.text("step"),
                            begun(name),
                            status,
                            pass.has("soak_s") ? Durations.text(pass.value("soak_s")) : Fields.NONE,
                            pass.has("soak_s") ? pass.flag("settled") ? "yes" : "no" : Fields.NONE,
                            pass.rounded("coolant_rise_K", 3, ""),
                            pass.rounded("nominal_rise_K", 3, ""),
                            pass.rounded("fan_speed_rpm", 0, ""),
                            pass.rounded("ambient_degC", 2, ""),
                            pass.rounded("heat_flow_W", 1, ""),
                            pass.text("reason")));
        }
        html.table(table);
    }

    private String departures() {
        List<Fields> passes = counted();
        double[] departures = passes.stream().mapToDouble(this::departure).toArray();
        double largest = DoubleStream.of(departures).map(Math::abs).max().orElse(0.0);
        double end = Math.max(night.trace().endSeconds(), 1.0);
        Chart chart = new Chart(
                "departures",
                "Departure of each pass from the mean of its step",
                "No pass departs by more than " + Decimals.fixed(largest, 3) + " K.",
                new Axis("local time", 0, end, Ticks.ofDay(night.trace().start(), 0, end, TIME_TICKS)),
                Axis.upright("departure from the mean, K", -Math.max(largest, 0.01), Math.max(largest, 0.01)),
                130,
                100,
                false,
                night.mark());
        for (int i = 0; i < passes.size(); i++) {
            Fields pass = passes.get(i);
            int number = 1;
            while (!steps.get(number - 1).text("step").equals(pass.text("step"))) {
                number++;
            }
            double middle = (pass.value("from_tick") + pass.value("to_tick")) / 2;
            chart.point(
                    night.trace().secondsOfTick((long) middle),
                    departures[i],
                    Double.NaN,
                    Math.min(number, 4),
                    passes.size() <= MOST_LABELLED ? pass.text("step") : "",
                    "pass " + pass.text("pass") + " at " + pass.text("step") + ": " + Decimals.fixed(departures[i], 3)
                            + " K from the mean");
        }
        return chart.svg();
    }

    private double departure(Fields pass) {
        return steps.stream()
                .filter(step -> step.text("step").equals(pass.text("step")))
                .mapToDouble(step -> nominal(pass).orElseThrow().doubleValue() - step.value("coolant_rise_K"))
                .findFirst()
                .orElse(Double.NaN);
    }

    private String begun(String pass) {
        return night.decisions("pass-begun").stream()
                .filter(line -> line.text("pass").equals(pass))
                .map(line -> night.clock(night.trace().secondsOfTick((long) line.value("tick"))))
                .findFirst()
                .orElse(Fields.NONE);
    }

    /** Says in words what was measured, for the top of the page. */
    String sentence() {
        if (!planned()) {
            return "This night's plan measures no rise of the coolant, only the fans; what was found stands below.";
        }
        List<String> said = new ArrayList<>();
        for (Fields step : steps) {
            if (step.has("coolant_rise_K")) {
                said.add(rise(step) + " at " + step.text("step"));
            }
        }
        return said.isEmpty()
                ? "There is no result: no pass was completed."
                : "With fan set " + night.results().text("set") + " the coolant rose over the ambient by " + list(said)
                        + ".";
    }

    static String list(List<String> parts) {
        int last = parts.size() - 1;
        return last < 1
                ? String.join("", parts)
                : String.join(", ", parts.subList(0, last)) + " and " + parts.get(last);
    }

    /** Whether a soak ended by its longest time instead of settling, in a pass that counts. */
    boolean anyUnsettled() {
        return counted().stream().anyMatch(p -> !p.flag("settled"));
    }

    /** Largest departure of a step's mean speed from its setpoint, as text; empty where it is below 1 %. */
    String speedDeparture() {
        double largest = 0.0;
        for (Fields step : steps) {
            String[] words = step.text("step").split(" ");
            if (words.length == 2 && words[1].equals("rpm") && step.has("fan_speed_rpm")) {
                double wanted = Double.parseDouble(words[0]);
                largest = Math.max(largest, Math.abs(step.value("fan_speed_rpm") / wanted - 1));
            }
        }
        return largest < 0.01 ? "" : Decimals.fixed(largest * 100, 1) + " %";
    }
}
