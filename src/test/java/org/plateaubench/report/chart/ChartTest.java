package org.plateaubench.report.chart;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.StringReader;
import java.util.List;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.Test;
import org.w3c.dom.Document;
import org.xml.sax.InputSource;

class ChartTest {

    private static Chart chart() {
        return new Chart(
                "c",
                "Title <&>",
                "Text",
                Axis.along("x, s", 0, 100),
                Axis.upright("y, K", 0, 10),
                200,
                60,
                true,
                "SIMULATED");
    }

    private static Document parsed(String svg) throws Exception {
        return DocumentBuilderFactory.newInstance().newDocumentBuilder().parse(new InputSource(new StringReader(svg)));
    }

    @Test
    void aChartIsWellFormedWithTextAlternativeAndMark() throws Exception {
        Chart chart = chart();
        chart.line(new Series(new double[] {0, 50, 100}, new double[] {1, Double.NaN, 3}), 1, "line <1>");
        chart.point(50, 5, 1, 2, "a & b", "detail \"quoted\"");
        chart.strip(0, 50, "stage", "soak");
        chart.limit(0, 100, 8, "limit");
        Document svg = parsed(chart.svg());
        assertEquals("img", svg.getDocumentElement().getAttribute("role"));
        assertEquals(
                "Title <&>",
                svg.getElementById("c-title") == null
                        ? svg.getElementsByTagName("title").item(0).getTextContent()
                        : svg.getElementById("c-title").getTextContent());
        assertTrue(chart.svg().contains("SIMULATED"));
        assertEquals("c-title c-text", svg.getDocumentElement().getAttribute("aria-labelledby"));
    }

    @Test
    void aLimitOutsideTheAxisIsNotDrawn() {
        Chart chart = chart();
        chart.limit(0, 100, 50, "limit");
        assertFalse(chart.svg().contains("class=\"limit\""));
    }

    @Test
    void thinningKeepsEveryPeakWhateverTheNumberOfValues() {
        int n = 30_000;
        double[] x = new double[n];
        double[] y = new double[n];
        for (int i = 0; i < n; i++) {
            x[i] = i;
            y[i] = StrictMath.sin(i / 500.0);
        }
        y[12_345] = 7;
        y[12_347] = -7;
        List<double[]> pieces = new Series(x, y).thinned(0, n - 1, 400);
        assertEquals(1, pieces.size());
        double[] points = pieces.get(0);
        assertTrue(points.length <= 4 * 401, points.length + " numbers");
        boolean high = false;
        boolean low = false;
        for (int i = 0; i < points.length; i += 2) {
            high |= points[i] == 12_345 && points[i + 1] == 7;
            low |= points[i] == 12_347 && points[i + 1] == -7;
            assertTrue(i == 0 || points[i] > points[i - 2], "places rise");
        }
        assertTrue(high && low, "a peak is lost");
    }

    @Test
    void aMissingValueBreaksTheLine() {
        double nan = Double.NaN;
        List<double[]> pieces =
                new Series(new double[] {0, 1, 2, 3, 4}, new double[] {1, 2, nan, 4, nan}).thinned(0, 4, 4);
        assertEquals(2, pieces.size());
        assertArrayEquals(new double[] {0, 1, 1, 2}, pieces.get(0));
        assertArrayEquals(new double[] {3, 4}, pieces.get(1));
    }

    @Test
    void axesHoldEqualAndMissingValues() {
        assertTrue(Axis.upright("y", 5, 5).to() > 5);
        assertTrue(Axis.upright("y", Double.NaN, Double.NaN).to() > 0);
        assertEquals(0.0, Axis.upright("y", 0.1, 10).from());
    }
}
