package org.plateaubench.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Browser;
import org.plateaubench.record.Amendments;
import org.plateaubench.record.Json;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;

/** The report of a short night on the simulated bench, read as text and in a real browser. */
class ReportTest {

    @TempDir
    static Path folder;

    private static ShortNight night;
    private static String page;
    private static Map<String, Object> results;

    @BeforeAll
    static void run() throws Exception {
        night = ShortNight.run(folder, "short-night.yaml");
        page = Report.html(night.record(), night.trust(), "Plateau test");
        results = Json.read(Files.readAllBytes(night.record().resolve("data/results.json")));
    }

    private static List<Map<?, ?>> list(String name) {
        List<Map<?, ?>> list = new ArrayList<>();
        ((List<?>) results.get(name)).forEach(each -> list.add((Map<?, ?>) each));
        return list;
    }

    @Test
    void itNeedsNothingElseAndSaysSimulated() {
        assertTrue(page.startsWith("<!DOCTYPE html>"));
        assertFalse(page.contains("<script"), "a script");
        assertFalse(
                page.replace("http://www.w3.org/2000/svg", "").matches("(?s).*https?://.*"),
                "something from elsewhere");
        assertTrue(page.getBytes(StandardCharsets.UTF_8).length < 400_000);
        Matcher captions = Pattern.compile("<caption>(.*?)</caption>").matcher(page);
        while (captions.find()) {
            assertTrue(
                    captions.group(1).startsWith("SIMULATED")
                            || captions.group(1).equals("Channels"),
                    captions.group(1));
        }
        Matcher charts = Pattern.compile("<svg.*?</svg>", Pattern.DOTALL).matcher(page);
        int count = 0;
        while (charts.find()) {
            assertTrue(charts.group().contains(">SIMULATED<"), "a chart without the mark");
            count++;
        }
        assertTrue(count >= 4, count + " charts");
    }

    @Test
    void theVerdictAndItsScopeComeFirst() {
        int said = page.indexOf("the coolant rose over the ambient by");
        int scope = page.indexOf("mounted once, on this night: between-night variance is not estimated");
        assertTrue(said > 0 && scope > said);
        assertTrue(scope < page.indexOf("<h2"), "before the first section");
    }

    @Test
    void aPlanThatMeasuresNoRiseMissesNone(@TempDir Path another) throws Exception {
        ShortNight fans = ShortNight.run(another, "fans-only.yaml");
        String said = Report.html(fans.record(), fans.trust(), "Plateau test");
        assertTrue(said.contains("measures no rise of the coolant, only the fans"), said);
        assertTrue(said.contains("Speed against duty"), said);
        for (String missed : List.of("There is no result", "No pass was", "Rise of the coolant", "the rises")) {
            assertFalse(said.contains(missed), missed);
        }
    }

    /** What is printed beside a point is the number of results.json, rounded to the digits that are printed. */
    @Test
    void labelsOfTheChartEqualTheResults() {
        String chart = SvgChart.of(page, "rise").svg();
        for (Map<?, ?> step : list("steps")) {
            Matcher label = Pattern.compile(">" + Pattern.quote(step.get("step") + ": ") + "(-?[0-9]+\\.([0-9]+))")
                    .matcher(chart);
            assertTrue(label.find(), "no label of " + step.get("step"));
            BigDecimal result = (BigDecimal) step.get("coolant_rise_K");
            assertEquals(
                    result.setScale(label.group(2).length(), RoundingMode.HALF_UP), new BigDecimal(label.group(1)));
        }
    }

    /** A row a contribution of results.json, a cell a step, and the second path below. */
    @Test
    void theBudgetOfEveryStepIsShown() {
        int at = page.indexOf("what the intervals are made of: standard uncertainties");
        String table = page.substring(at, page.indexOf("</table>", at));
        for (Map<?, ?> step : list("steps")) {
            for (Object line : (List<?>) step.get("budget")) {
                Map<?, ?> of = (Map<?, ?>) line;
                BigDecimal u = (BigDecimal) of.get("standard_uncertainty_K");
                String row = table.substring(table.indexOf(">" + of.get("name") + "<"));
                assertTrue(
                        row.substring(0, row.indexOf("</tr>"))
                                .contains(">" + u.setScale(4, RoundingMode.HALF_UP) + "<"),
                        of.get("name") + " of " + step.get("step"));
            }
        }
        assertTrue(table.contains("by Monte Carlo (JCGM 101)") && table.contains(", confirms<"), table);
    }

    /** The place of each point, read back by the ticks of both axes, is its number in results.json. */
    @Test
    void placesOfThePointsEqualTheResults() {
        SvgChart chart = SvgChart.of(page, "rise");
        for (Map<?, ?> step : list("steps")) {
            Matcher point = Pattern.compile("<g class=\"point s1\"><title>"
                            + Pattern.quote(step.get("step").toString())
                            + ":.*?<circle cx=\"([0-9.]+)\" cy=\"([0-9.]+)\"")
                    .matcher(chart.svg());
            assertTrue(point.find(), "no point of " + step.get("step"));
            assertEquals(
                    number(step, "nominal_speed_rpm"),
                    chart.along(Double.parseDouble(point.group(1))),
                    chart.alongError());
            assertEquals(
                    number(step, "coolant_rise_K"),
                    chart.upright(Double.parseDouble(point.group(2))),
                    chart.uprightError());
        }
    }

    private static double number(Map<?, ?> fields, String name) {
        return ((BigDecimal) fields.get(name)).doubleValue();
    }

    /** The slope that is drawn is the one that decided: where a stage settled, both are the same to the recorded digits. */
    @Test
    void theSlopeThatIsDrawnIsTheOneThatDecided() throws Exception {
        Night read = Night.read(night.record(), night.trust());
        List<Fields> settled = read.decisions("settled");
        assertTrue(settled.size() >= 3, settled.size() + " times");
        for (Fields decision : settled) {
            double wanted = Math.abs(decision.value("slope")) + decision.value("margin");
            int tick = (int) decision.value("tick");
            double drawn = read.trace().series("steepest").y()[tick];
            // Both parts are recorded with four decimals.
            assertEquals(wanted, drawn, 1.01e-4, decision.toString());
        }
    }

    @Test
    void amendmentsAreShownWithTheirPicturesAndResultsWithoutAPassSetAside() throws Exception {
        Path copy = night.copy(folder.resolve("amended"));
        byte[] png = {(byte) 0x89, 'P', 'N', 'G', 13, 10, 26, 10, 1, 2, 3};
        Amendments.add(
                copy,
                new Statement.Note("door <opened> & closed"),
                List.of(
                        new Amendments.Attached("photo.png", png),
                        new Amendments.Attached("script.svg", "<svg onload='x'/>".getBytes(StandardCharsets.UTF_8))),
                "A. Technician",
                "2026-11-25T08:00:00.000Z",
                night.key());
        String pass = list("passes").get(0).get("pass").toString();
        Amendments.add(
                copy,
                new Statement.SetAside(pass, "somebody opened a window"),
                List.of(),
                "A. Technician",
                "2026-11-25T08:10:00.000Z",
                night.key());
        String amended = Report.html(copy, night.trust(), "Plateau test");
        assertTrue(amended.contains("door &lt;opened&gt; &amp; closed"));
        assertTrue(amended.contains("src=\"data:image/png;base64,"));
        assertFalse(amended.contains("onload"), "an attached file that is no picture is only named");
        assertTrue(amended.contains("without passes set aside, K"));
        assertTrue(amended.contains(" (1 pass)") && amended.contains(" (2 passes)"), "passes that a mean is made of");
        assertFalse(amended.matches("(?s).*[0-9] of [0-9]<.*"), "a mean that reads as a share");
        int said = amended.indexOf("Set aside since: " + pass + ".");
        assertTrue(said > 0 && said < amended.indexOf("<h2"), "before the first section");
        assertFalse(page.contains("Set aside since"));
        assertTrue(amended.contains("somebody opened a window"));
        String stranger = Report.html(copy, TrustFile.EMPTY, "Plateau test");
        assertFalse(stranger.contains("without passes set aside, K"), "an unknown key sets nothing aside");
        assertTrue(stranger.contains("FAILS its audit (SIGNER_UNKNOWN)"));
    }

    @Test
    void anUnsealedRecordGetsAReportThatSaysSo() throws Exception {
        Path copy = night.copy(folder.resolve("unsealed"));
        Files.delete(copy.resolve("signature/tagmanifest-sha256.txt.sig"));
        Files.delete(copy.resolve("data/results.json"));
        Files.delete(copy.resolve("data/provenance.json"));
        String unsealed = Report.html(copy, night.trust(), "Plateau test");
        assertTrue(unsealed.contains("FAILS its audit"));
        assertTrue(unsealed.contains("the coolant rose over the ambient by"));
    }

    @Test
    void aBrowserShowsItWithoutComplaintInBothColourSchemesAndOnPaper() throws Exception {
        Path file = folder.resolve("report.html");
        Files.writeString(file, page);
        try (Browser browser = Browser.start()) {
            browser.open(file.toUri().toString());
            assertEquals(5L, count(browser, "svg.chart"));
            assertEquals(
                    Boolean.TRUE,
                    browser.value(
                            "[...document.querySelectorAll('svg.chart path.line')].every(p => p.getTotalLength() > 100)"));
            for (boolean dark : new boolean[] {false, true}) {
                browser.dark(dark);
                assertEquals(List.of(), browser.accessibility(), dark ? "dark" : "light");
            }
            // Paper is white whatever the screen is.
            browser.dark(true);
            browser.paper(true);
            assertEquals("rgb(32, 36, 42)", browser.value("getComputedStyle(document.querySelector('.said')).color"));
            browser.paper(false);
            browser.size(390, 800);
            assertEquals(
                    Boolean.TRUE, browser.value("document.documentElement.scrollWidth <= 390"), "wider than a phone");
            String pdf = new String(browser.print(), StandardCharsets.ISO_8859_1);
            assertTrue(pdf.startsWith("%PDF-"));
            // A4 in points is 595 by 842.
            assertTrue(
                    Pattern.compile("/MediaBox \\[0 0 59[45][0-9.]* 84[12][0-9.]*\\]")
                            .matcher(pdf)
                            .find(),
                    "no A4");
            assertEquals(List.of(), browser.errors());
        }
    }

    private static long count(Browser browser, String selector) throws Exception {
        return ((Number) browser.value("document.querySelectorAll('" + selector + "').length")).longValue();
    }
}
