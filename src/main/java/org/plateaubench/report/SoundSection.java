package org.plateaubench.report;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.DoubleStream;
import org.plateaubench.report.chart.Axis;
import org.plateaubench.report.chart.Chart;
import org.plateaubench.report.chart.Series;

/** How loud the fans are at each speed, and which speeds have the levels that were asked for. */
final class SoundSection {

    private static final int CURVE_POINTS = 60;

    private final Night night;
    private final Fields acoustic;
    private final String mark;

    SoundSection(Night night) {
        this.night = night;
        this.acoustic = night.results().object("acoustic");
        this.mark = night.markBefore();
    }

    void into(Html html) {
        List<Fields> levels = acoustic.list("levels");
        if (levels.isEmpty()) {
            return;
        }
        html.heading("sound", "Level against speed");
        html.figure(
                chart(levels),
                "Squares: total level. Below each the fans' own level, after the background was taken off as energy, by"
                        + " the class of the reading: full circle corrected, or in no need of it; diamond corrected, survey grade;"
                        + " open circle an upper bound only, too close to the background. Lines: own level as fitted to all total"
                        + " levels at once, and background.");
        html.table(levels(levels));
        if (!acoustic.list("matches").isEmpty()) {
            html.table(matches());
        }
    }

    private String chart(List<Fields> levels) {
        double[] speeds = levels.stream().mapToDouble(l -> l.value("speed_rpm")).toArray();
        double slowest = DoubleStream.of(speeds).min().orElseThrow();
        double fastest = DoubleStream.of(speeds).max().orElseThrow();
        Series fit = fit(slowest, fastest);
        double[] all = DoubleStream.concat(
                        levels.stream()
                                .flatMapToDouble(l -> DoubleStream.of(
                                        l.value("total_dB"), l.value("own_level_dB"), l.value("background_dB"))),
                        DoubleStream.of(fit.y()))
                .filter(Double::isFinite)
                .toArray();
        Fields loudest = levels.stream()
                .max(java.util.Comparator.comparingDouble(l -> l.value("speed_rpm")))
                .orElseThrow();
        Chart chart = new Chart(
                "sound-levels",
                "Sound level against speed",
                levels.size() + " readings; own level " + loudest.rounded("own_level_dB", 1, "dB") + " at "
                        + loudest.rounded("speed_rpm", 0, "rpm") + ", background "
                        + loudest.rounded("background_dB", 1, "dB") + ".",
                Axis.along("mean speed of the fans, rpm", slowest, fastest),
                Axis.upright(
                        "level, dB(A)",
                        DoubleStream.of(all).min().orElse(Double.NaN),
                        DoubleStream.of(all).max().orElse(Double.NaN)),
                240,
                90,
                false,
                night.mark());
        chart.line(fit, 1, "own level");
        Fields line = acoustic.object("line");
        if (line.has("background_dB")) {
            double background = line.value("background_dB");
            chart.line(
                    new Series(new double[] {slowest, fastest}, new double[] {background, background}),
                    5,
                    "background");
        }
        Set<String> named = new TreeSet<>();
        for (Fields level : levels) {
            String reading = level.text("class").replace('-', ' ');
            String detail = level.rounded("speed_rpm", 0, "rpm") + ": total " + level.rounded("total_dB", 2, "dB")
                    + ", background " + level.rounded("background_dB", 2, "dB") + ", own level "
                    + level.rounded("own_level_dB", 2, "dB") + ", " + reading;
            if (level.has("total_dB")) {
                chart.point(level.value("speed_rpm"), level.value("total_dB"), Double.NaN, 2, "", detail);
            }
            if (level.has("own_level_dB")) {
                chart.point(
                        level.value("speed_rpm"),
                        level.value("own_level_dB"),
                        Double.NaN,
                        Double.NaN,
                        1,
                        shape(reading),
                        named.add(reading) ? reading : "",
                        detail);
            }
        }
        return chart.svg();
    }

    private static Chart.Mark shape(String reading) {
        return switch (reading) {
            case "upper bound" -> Chart.Mark.RING;
            case "survey" -> Chart.Mark.DIAMOND;
            default -> Chart.Mark.CIRCLE;
        };
    }

    /** The fitted line Ls = a + b lg(N/N0) + c lg(N/N0)². */
    private Series fit(double slowest, double fastest) {
        Fields line = acoustic.object("line");
        if (!line.has("slope_dB_per_decade")) {
            return new Series(new double[0], new double[0]);
        }
        double curvature =
                line.has("curvature_dB_per_decade_squared") ? line.value("curvature_dB_per_decade_squared") : 0;
        double[] x = new double[CURVE_POINTS + 1];
        double[] y = new double[CURVE_POINTS + 1];
        for (int i = 0; i <= CURVE_POINTS; i++) {
            x[i] = slowest + (fastest - slowest) * i / CURVE_POINTS;
            double decades = StrictMath.log10(x[i] / line.value("reference_rpm"));
            y[i] = line.value("own_level_dB")
                    + line.value("slope_dB_per_decade") * decades
                    + curvature * decades * decades;
        }
        return new Series(x, y);
    }

    private Html.Table levels(List<Fields> levels) {
        Html.Table table = new Html.Table(mark + "levels, dB(A)")
                .column("pass")
                .numbers("speed, rpm")
                .numbers("total")
                .numbers("background")
                .numbers("its drift")
                .numbers("gap")
                .numbers("own level")
                .column("class of the reading")
                .numbers("error multiplied by")
                .numbers("rejected, %");
        for (Fields level : levels) {
            List<String> cells = new ArrayList<>();
            cells.add(level.text("pass"));
            cells.add(level.rounded("speed_rpm", 0, ""));
            cells.add(level.rounded("total_dB", 2, ""));
            cells.add(level.rounded("background_dB", 2, ""));
            cells.add(level.rounded("background_drift_dB", 2, ""));
            cells.add(level.rounded("gap_dB", 1, ""));
            cells.add(level.rounded("own_level_dB", 2, ""));
            cells.add(level.text("class").replace('-', ' '));
            cells.add(level.rounded("error_multiplier", 2, ""));
            cells.add(level.rounded("rejected_percent", 1, ""));
            table.row("", cells);
        }
        return table;
    }

    private Html.Table matches() {
        Html.Table table = new Html.Table(mark + "speeds that have the levels asked for; values of the fitted line")
                .column("step")
                .numbers("speed, rpm")
                .numbers("from")
                .numbers("to")
                .numbers("± %")
                .numbers("own level, dB(A)")
                .column("heard there")
                .column("caution");
        for (Fields match : acoustic.list("matches")) {
            Fields heard = match.object("verification");
            List<String> cautions = new ArrayList<>();
            if (match.flag("too_wide")) {
                cautions.add("too wide to compare");
            }
            if (match.flag("extrapolated")) {
                cautions.add("beyond the speeds listened to");
            }
            if (match.has("levels_from")) {
                cautions.add("levels of " + match.text("levels_from"));
            }
            table.row(
                    "",
                    List.of(
                            match.text("step"),
                            match.rounded("speed_rpm", 0, ""),
                            match.rounded("low_rpm", 0, ""),
                            match.rounded("high_rpm", 0, ""),
                            match.rounded("half_width_percent", 2, ""),
                            match.rounded("own_level_dB", 2, "")
                                    + (match.has("own_level_expanded_dB")
                                            ? " ± " + match.rounded("own_level_expanded_dB", 2, "")
                                            : ""),
                            heard.map().isEmpty()
                                    ? Fields.NONE
                                    : heard.rounded("above_expected_dB", 2, "") + " ± "
                                            + heard.rounded("expanded_dB", 2, "") + " dB off, "
                                            + (heard.flag("agrees") ? "agrees" : "does NOT agree"),
                            String.join("; ", cautions)));
        }
        return table;
    }
}
