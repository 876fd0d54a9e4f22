package org.plateaubench.report;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.TreeMap;
import org.plateaubench.report.chart.Axis;
import org.plateaubench.report.chart.Chart;
import org.plateaubench.report.chart.Series;
import org.plateaubench.units.Decimals;

/** How the fans answer to their duty, where the night characterised them. */
final class FanSection {

    private final Night night;

    FanSection(Night night) {
        this.night = night;
    }

    void into(Html html) {
        Fields fans = night.results().object("fans");
        List<Fields> curve = fans.list("curve");
        if (curve.isEmpty()) {
            return;
        }
        html.heading("fans", "Speed against duty");
        html.figure(
                chart(curve),
                "Mean speed of the fans at each duty, over all sweeps: full circles on the way up, open squares on the way"
                        + " down.");
        Html.Table table = new Html.Table(night.markBefore() + "each fan")
                .column("fan")
                .numbers("starts at, % duty")
                .numbers("stops below, % duty")
                .numbers("lowest, rpm")
                .numbers("highest, rpm")
                .numbers("departure from a line, %")
                .numbers("up less down, % duty")
                .numbers("gains speed in, s")
                .numbers("loses speed in, s");
        for (Fields fan : fans.list("fans")) {
            List<String> cells = new ArrayList<>();
            cells.add(fan.text("fan"));
            cells.add(fan.rounded("start_duty_percent", 1, ""));
            cells.add(fan.rounded("stop_duty_percent", 1, ""));
            cells.add(fan.rounded("minimum_rpm", 0, ""));
            cells.add(fan.rounded("maximum_rpm", 0, ""));
            cells.add(fan.rounded("linearity_percent", 1, ""));
            cells.add(fan.rounded("hysteresis_percent_of_duty", 1, ""));
            cells.add(fan.rounded("spin_up_s", 1, ""));
            cells.add(fan.rounded("coast_down_s", 1, ""));
            table.row("", cells);
        }
        html.table(table);
    }

    private String chart(List<Fields> curve) {
        Series rising = sweep(true);
        Series falling = sweep(false);
        Fields highest = curve.get(curve.size() - 1);
        Chart chart = new Chart(
                "duty",
                "Speed of the fans against their duty",
                "From " + curve.get(0).rounded("speed_rpm", 0, "rpm") + " at "
                        + curve.get(0).rounded("duty_percent", 0, "%") + " to "
                        + highest.rounded("speed_rpm", 0, "rpm") + " at " + highest.rounded("duty_percent", 0, "%")
                        + " duty.",
                Axis.along("duty, %", 0, 100),
                Axis.upright("speed, rpm", 0, Math.max(rising.high(), highest.value("speed_rpm"))),
                230,
                70,
                false,
                night.mark());
        draw(chart, rising, 1, Chart.Mark.CIRCLE, "up");
        draw(chart, falling, 2, Chart.Mark.FRAME, "down");
        return chart.svg();
    }

    private static void draw(Chart chart, Series sweep, int number, Chart.Mark mark, String way) {
        chart.line(sweep, number, way);
        for (int i = 0; i < sweep.x().length; i++) {
            String detail = way + ", " + Decimals.shortest(sweep.x()[i], 1) + " % duty: "
                    + Decimals.fixed(sweep.y()[i], 0) + " rpm";
            chart.point(sweep.x()[i], sweep.y()[i], Double.NaN, Double.NaN, number, mark, "", detail);
        }
    }

    /** Mean speed at each duty on one way, over all sweeps and fans. */
    private Series sweep(boolean rising) {
        TreeMap<Double, List<Double>> speeds = new TreeMap<>();
        for (Fields point : night.decisions("sweep-point")) {
            if (point.flag("rising") == rising && point.map().get("rpm") instanceof List<?> fans) {
                List<Double> here = speeds.computeIfAbsent(point.value("duty"), duty -> new ArrayList<>());
                fans.stream()
                        .filter(BigDecimal.class::isInstance)
                        .forEach(rpm -> here.add(((BigDecimal) rpm).doubleValue()));
            }
        }
        return new Series(
                speeds.keySet().stream().mapToDouble(Double::doubleValue).toArray(),
                speeds.values().stream()
                        .mapToDouble(here -> here.stream()
                                .mapToDouble(Double::doubleValue)
                                .average()
                                .orElse(Double.NaN))
                        .toArray());
    }
}
