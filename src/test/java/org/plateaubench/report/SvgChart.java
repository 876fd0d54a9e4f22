package org.plateaubench.report;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A chart of a page, read back: coordinates become values by the first and the last tick of each axis.
 *
 * @param svg its text
 * @param alongOffset value at coordinate 0
 * @param alongPerUnit value a unit of the coordinate
 * @param uprightOffset value at coordinate 0
 * @param uprightPerUnit value a unit of the coordinate, negative: coordinates go down
 */
record SvgChart(String svg, double alongOffset, double alongPerUnit, double uprightOffset, double uprightPerUnit) {

    /** A tick's text stands so far below its line. */
    private static final double TEXT_BELOW = 4;

    /** Coordinates have one decimal; ticks and place may both be rounded. */
    private static final double COORDINATE_ERROR = 0.15;

    static SvgChart of(String page, String id) {
        Matcher found = Pattern.compile("<svg[^>]*id=\"" + id + "\".*?</svg>", Pattern.DOTALL)
                .matcher(page);
        assertTrue(found.find(), "no chart " + id);
        double[] along = scale(found.group(), "tick along", 1);
        double[] upright = scale(found.group(), "tick up", 2);
        return new SvgChart(found.group(), along[0], along[1], upright[0] + TEXT_BELOW * upright[1], upright[1]);
    }

    private static double[] scale(String svg, String style, int group) {
        Matcher ticks = Pattern.compile("class=\"" + style + "\" x=\"([0-9.]+)\" y=\"([0-9.]+)\"[^>]*>([-0-9.]+)<")
                .matcher(svg);
        List<double[]> found = new ArrayList<>();
        while (ticks.find()) {
            found.add(new double[] {Double.parseDouble(ticks.group(group)), Double.parseDouble(ticks.group(3))});
        }
        double[] first = found.get(0);
        double[] last = found.get(found.size() - 1);
        double factor = (last[1] - first[1]) / (last[0] - first[0]);
        return new double[] {first[1] - factor * first[0], factor};
    }

    double along(double coordinate) {
        return alongOffset + alongPerUnit * coordinate;
    }

    double upright(double coordinate) {
        return uprightOffset + uprightPerUnit * coordinate;
    }

    double alongError() {
        return COORDINATE_ERROR * Math.abs(alongPerUnit);
    }

    double uprightError() {
        return COORDINATE_ERROR * Math.abs(uprightPerUnit);
    }

    /** Value of a drawn line at a place between two of its corners. */
    double heightOfLine(String style, double at) {
        Matcher line = Pattern.compile("<path class=\"line " + style + "\" d=\"([^\"]+)\"")
                .matcher(svg);
        assertTrue(line.find(), "no line " + style);
        Matcher corners = Pattern.compile("([0-9.]+) ([0-9.]+)").matcher(line.group(1));
        double[] before = null;
        while (corners.find()) {
            double[] now = {along(Double.parseDouble(corners.group(1))), upright(Double.parseDouble(corners.group(2)))};
            if (before != null && before[0] <= at && at <= now[0]) {
                return before[1] + (now[1] - before[1]) * (at - before[0]) / (now[0] - before[0]);
            }
            before = now;
        }
        throw new AssertionError("no line at " + at);
    }
}
