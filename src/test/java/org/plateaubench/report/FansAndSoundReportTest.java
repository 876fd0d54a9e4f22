package org.plateaubench.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.record.Json;

/** What the charts of fans and sound draw is what results.json says. */
class FansAndSoundReportTest {

    @TempDir
    static Path folder;

    private static String page;
    private static Map<String, Object> results;

    @BeforeAll
    static void run() throws Exception {
        ShortNight night = ShortNight.run(folder, "every-stage.yaml");
        page = Report.html(night.record(), night.trust(), "Plateau test");
        results = Json.read(Files.readAllBytes(night.record().resolve("data/results.json")));
    }

    private static List<?> list(String part, String name) {
        return (List<?>) ((Map<?, ?>) results.get(part)).get(name);
    }

    private static double number(Object fields, String name) {
        return ((BigDecimal) ((Map<?, ?>) fields).get(name)).doubleValue();
    }

    /** A mark of a chart: where its shape stands, in the units of the axes. */
    private record Mark(double x, double y) {

        /** The mark whose title holds the text and whose shape is the element that begins so; its place follows. */
        static Mark of(SvgChart chart, String title, String shape) {
            Matcher mark = Pattern.compile("<title>" + title + "</title>(?:<path class=\"interval\"[^>]*>)*" + shape)
                    .matcher(chart.svg());
            assertTrue(mark.find(), "no mark '" + title + "' " + shape);
            return new Mark(
                    chart.along(Double.parseDouble(mark.group(1))), chart.upright(Double.parseDouble(mark.group(2))));
        }
    }

    /** The results' curve is the mean of both ways; each way is drawn by itself. */
    @Test
    void theCurveOfTheResultsIsBetweenTheWaysUpAndDown() {
        SvgChart chart = SvgChart.of(page, "duty");
        List<?> curve = list("fans", "curve");
        assertTrue(curve.size() >= 4, curve.toString());
        for (Object point : curve) {
            String at = Math.round(number(point, "duty_percent")) + " % duty: [0-9]+ rpm";
            Mark up = Mark.of(chart, "up, " + at, "<circle cx=\"([0-9.]+)\" cy=\"([0-9.]+)\"");
            assertEquals(number(point, "duty_percent"), up.x(), chart.alongError());
            if (chart.svg().contains("down, " + Math.round(number(point, "duty_percent")) + " % duty")) {
                Mark down = Mark.of(chart, "down, " + at, "<path class=\"frame\" d=\"M([0-9.]+) ([0-9.]+)m-6-6h12");
                assertEquals(number(point, "duty_percent"), down.x(), chart.alongError());
                assertEquals(number(point, "speed_rpm"), (up.y() + down.y()) / 2, chart.uprightError());
            } else { // where the way turns there is but one
                assertEquals(100.0, number(point, "duty_percent"));
                assertEquals(number(point, "speed_rpm"), up.y(), chart.uprightError());
            }
        }
    }

    @Test
    void levelsStandWhereTheResultsSayAndAsTheirClassIsDrawn() {
        SvgChart chart = SvgChart.of(page, "sound-levels");
        List<?> levels = list("acoustic", "levels");
        assertTrue(levels.size() >= 4, levels.toString());
        for (Object level : levels) {
            String title = Math.round(number(level, "speed_rpm")) + " rpm: total [^<]*";
            Mark total = Mark.of(chart, title, "<rect x=\"([0-9.]+)\" y=\"([0-9.]+)\"");
            // a square begins four to the left of and above its place
            assertEquals(
                    number(level, "total_dB"), total.y() + 4 * chart.uprightPerUnit(), chart.uprightError(), title);
            assertEquals(number(level, "speed_rpm"), total.x() + 4 * chart.alongPerUnit(), chart.alongError(), title);
            String reading = ((Map<?, ?>) level).get("class").toString();
            String shape = reading.equals("survey")
                    ? "<path d=\"M([0-9.]+) ([0-9.]+)m0-5.5"
                    : reading.equals("upper-bound")
                            ? "<circle class=\"open\" cx=\"([0-9.]+)\" cy=\"([0-9.]+)\""
                            : "<circle cx=\"([0-9.]+)\" cy=\"([0-9.]+)\"";
            Mark own = Mark.of(chart, title, shape);
            assertEquals(number(level, "own_level_dB"), own.y(), chart.uprightError(), title);
        }
    }

    /** The line that is drawn goes through the speed that was found for a level. */
    @Test
    void theFittedLineGoesThroughTheMatches() {
        SvgChart chart = SvgChart.of(page, "sound-levels");
        for (Object match : list("acoustic", "matches")) {
            assertEquals(
                    number(match, "own_level_dB"),
                    chart.heightOfLine("s1", number(match, "speed_rpm")),
                    2 * chart.uprightError());
        }
    }
}
