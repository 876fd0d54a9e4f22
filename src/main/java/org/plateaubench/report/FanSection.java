package org.plateaubench.report;

import java.util.ArrayList;
import java.util.List;
import org.plateaubench.report.chart.Axis;
import org.plateaubench.report.chart.Chart;
import org.plateaubench.report.chart.Series;

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
        double[] duty = curve.stream().mapToDouble(p -> p.value("duty_percent")).toArray();
        double[] speed = curve.stream().mapToDouble(p -> p.value("speed_rpm")).toArray();
        Series settled = new Series(duty, speed);
        Chart chart = new Chart(
                "duty",
                "Speed of the fans against their duty",
                "From " + curve.get(0).rounded("speed_rpm", 0, "rpm") + " at "
                        + curve.get(0).rounded("duty_percent", 0, "%") + " to "
                        + curve.get(curve.size() - 1).rounded("speed_rpm", 0, "rpm") + " at "
                        + curve.get(curve.size() - 1).rounded("duty_percent", 0, "%") + " duty.",
                Axis.along("duty, %", 0, 100),
                Axis.upright("speed, rpm", 0, settled.high()),
                210,
                60,
                false,
                night.mark());
        chart.line(settled, 1, "set");
        for (Fields point : curve) {
            chart.point(
                    point.value("duty_percent"),
                    point.value("speed_rpm"),
                    Double.NaN,
                    5,
                    "",
                    point.rounded("duty_percent", 1, "%") + ": " + point.rounded("speed_rpm", 0, "rpm"));
        }
        html.figure(chart.svg(), "Settled mean speed of the set at each duty.");
        Html.Table table = new Html.Table((night.mark().isEmpty() ? "" : night.mark() + ": ") + "each fan")
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
}
