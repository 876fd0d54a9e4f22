package org.plateaubench.cli;

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
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Browser;
import org.plateaubench.Wants;
import org.plateaubench.record.Json;

/** The noise-matched night from one command, and a night of the other fan set at the levels of the first. */
class NoiseMatchedNightIT {

    private static final String PLAN = "protocols/noise-matched-night.yaml";

    @TempDir
    private Path folder;

    private static void has(List<String> output, String pattern) {
        assertTrue(
                output.stream().anyMatch(line -> line.matches(pattern)), pattern + " in\n" + String.join("\n", output));
    }

    @Test
    void aSecondSetIsMeasuredAtTheNoiseOfTheFirst() throws Exception {
        has(Program.ended(folder, 0, "rehearse", PLAN), "  passes that fit: 24 of 24");

        Path records = folder.resolve("r");
        List<String> first = Program.ended(folder, 0, "run", PLAN, "--records", records.toString());
        has(first, "  fan-3 +20\\.0 % +15\\.0 %.*");
        has(first, "  24 dB own level +13[0-9]{2} rpm .*yes +agrees.*");
        has(first, "  24 dB own level +2 +[0-9.]+ ± [0-9.]+ K.*");
        Path record = Program.record(records);
        has(Program.ended(folder, 0, "retrace", record.toString()), "identical: .*");
        String results = Files.readString(record.resolve("data/results.json"));
        assertTrue(results.contains("\"own_level_dB\"") && results.contains("\"start_duty_percent\""), results);

        List<String> refused = Program.ended(
                folder,
                2,
                "run",
                "protocols/first-night.yaml",
                "--levels-from",
                record.toString(),
                "--records",
                records.toString());
        has(refused, "--levels-from: the plan has no step above the background.*");

        Path others = folder.resolve("others");
        List<String> second = Program.ended(
                folder,
                0,
                "run",
                PLAN,
                "--fans",
                "protocols/fans/b.yaml",
                "--levels-from",
                record.toString(),
                "--records",
                others.toString());
        has(second, "  4 dB above background +[0-9]+ rpm .*" + record.getFileName());

        List<String> compared = Program.ended(
                folder, 0, "compare", record.toString(), Program.record(others).toString());
        has(compared, "  700 rpm +B is warmer than A by 0\\.7[0-9]+ ± 0\\.0[0-9]+ K .*");
        has(compared, "  own level 24\\.0 dB +B is warmer than A by 0\\.[12][0-9]* ± 0\\.[01][0-9]+ K .*");
        has(compared, "  own level 28\\.[0-9] dB +B is .*");
        for (String shown : Program.readme("own level 24.0 dB")) {
            assertTrue(compared.contains(shown), shown + " of README is not in\n" + String.join("\n", compared));
        }
        pagesStandInABrowser(record, Program.record(others));
        aTableIsReadBackByItsMetadata(record, Program.record(others));
        whatCannotBeComparedGetsAPageThatSaysWhy(record);
    }

    /** Report and comparison of whole nights: nothing is amiss in either colour scheme, and all charts have something. */
    private void pagesStandInABrowser(Path first, Path second) throws Exception {
        Path report = folder.resolve("report.html");
        Program.ended(folder, 0, "report", first.toString(), "--out", report.toString());
        assertTrue(Files.size(report) < 400_000, Files.size(report) + " bytes");
        levelsStandInTheirChart(Files.readString(report), first.resolve("data/results.json"));
        Path comparison = folder.resolve("comparison.html");
        Program.ended(folder, 0, "compare", first.toString(), second.toString(), "--html", comparison.toString());
        chartsSayWhatTheJsonSays(first, second, Files.readString(comparison));
        try (Browser browser = Browser.start()) {
            for (Path page : List.of(report, comparison)) {
                browser.open(page.toUri().toString());
                assertEquals(
                        Boolean.TRUE,
                        browser.value(
                                "(c => c.length >= 4 && c.every(s => s.querySelector('.line, .point')"
                                        + " && s.getBoundingClientRect().height > 80))([...document.querySelectorAll('svg.chart')])"),
                        page + ": a chart is empty");
                assertEquals(
                        Boolean.TRUE,
                        browser.value("(ids => new Set(ids).size === ids.length)"
                                + "([...document.querySelectorAll('[id]')].map(e => e.id))"),
                        page + ": two parts of one id");
                for (boolean dark : new boolean[] {false, true}) {
                    browser.dark(dark);
                    assertEquals(List.of(), browser.accessibility(), page + (dark ? " dark" : " light"));
                }
                browser.size(390, 844);
                assertEquals(
                        Boolean.TRUE, browser.value("document.documentElement.scrollWidth <= 390"), page.toString());
                browser.size(1000, 900);
            }
            assertEquals(List.of(), browser.errors());
        }
    }

    private void whatCannotBeComparedGetsAPageThatSaysWhy(Path record) throws Exception {
        Path page = folder.resolve("refused.html");
        has(
                Program.ended(folder, 1, "compare", record.toString(), record.toString(), "--html", page.toString()),
                ".* is the same record as another one");
        String html = Files.readString(page);
        assertTrue(html.contains("is the same record as another one</li>"), html);
        assertFalse(html.contains("<svg"), "a chart of nothing");
        Path inside = record.resolve("comparison.html");
        has(
                Program.ended(folder, 2, "compare", record.toString(), record.toString(), "--html", inside.toString()),
                ".* lies inside a record, which stays as it was sealed; name another place");
        assertFalse(Files.exists(inside));
    }

    /** What a point of the levels' chart says are the numbers of results.json, rounded to the digits that are printed. */
    private static void levelsStandInTheirChart(String page, Path results) throws Exception {
        String chart = page.substring(page.indexOf("id=\"sound-levels\""));
        chart = chart.substring(0, chart.indexOf("</svg>"));
        Map<?, ?> acoustic = (Map<?, ?>) Json.read(Files.readAllBytes(results)).get("acoustic");
        List<?> levels = (List<?>) acoustic.get("levels");
        assertEquals(9, levels.size());
        for (Object each : levels) {
            Map<?, ?> level = (Map<?, ?>) each;
            String wanted = ">" + rounded(level, "speed_rpm", 0) + " rpm: total " + rounded(level, "total_dB", 2)
                    + " dB, background " + rounded(level, "background_dB", 2) + " dB, own level "
                    + rounded(level, "own_level_dB", 2) + " dB, ";
            assertTrue(chart.contains(wanted), "no point '" + wanted + "'");
        }
    }

    private static String rounded(Map<?, ?> fields, String name, int decimals) {
        return ((BigDecimal) fields.get(name))
                .setScale(decimals, RoundingMode.HALF_UP)
                .toPlainString();
    }

    /** Each difference is printed in its chart with the digits of the JSON; an uncertainty is rounded up. */
    private void chartsSayWhatTheJsonSays(Path first, Path second, String page) throws Exception {
        Map<String, Object> json = Json.read(
                String.join("\n", Program.ended(folder, 0, "compare", "--json", first.toString(), second.toString()))
                        .getBytes(StandardCharsets.UTF_8));
        Map<?, ?> bench = (Map<?, ?>) ((List<?>) json.get("benches")).get(0);
        List<Object> differences = new ArrayList<>((List<?>) bench.get("differences_at_equal_own_level"));
        differences.addAll((List<?>) bench.get("differences"));
        Matcher printed = Pattern.compile(">(-?[0-9.]+) ± ([0-9.]+) K (warmer|cooler|not shown to differ)</text>")
                .matcher(page);
        assertTrue(differences.size() >= 6, differences.toString());
        for (Object each : differences) {
            Map<?, ?> difference = (Map<?, ?>) each;
            assertTrue(printed.find(), "no label of " + difference);
            int digits = new BigDecimal(printed.group(2)).scale();
            double half = 0.5 * Math.pow(10, -digits) + 0.00005;
            double value = ((BigDecimal) difference.get("difference_K")).doubleValue();
            double expanded = ((BigDecimal) difference.get("expanded_uncertainty_K")).doubleValue();
            assertEquals(value, Double.parseDouble(printed.group(1)), half, difference.toString());
            assertEquals(expanded + half, Double.parseDouble(printed.group(2)), half, difference.toString());
            assertEquals(difference.get("verdict"), printed.group(3).replace(' ', '-'));
        }
        assertFalse(printed.find(), "a label too many");
        double matched = ((List<?>) bench.get("differences"))
                .stream()
                        .mapToDouble(d -> ofBothSets((Map<?, ?>) d, ": noise match"))
                        .max()
                        .orElseThrow();
        Matcher left = Pattern.compile(">noise match</th><td[^>]*>[0-9.]+</td><td[^>]*>([0-9.]+)</td>")
                .matcher(page);
        assertTrue(left.find() && matched > 0, "what is left of the noise match, " + matched + " K");
        assertEquals(matched, Double.parseDouble(left.group(1)), 0.0001);
    }

    /** Standard uncertainty of a difference from lines that each set has of its own, K. */
    private static double ofBothSets(Map<?, ?> difference, String name) {
        return Math.sqrt(((List<?>) difference.get("budget"))
                .stream()
                        .map(line -> (Map<?, ?>) line)
                        .filter(line -> line.get("name").toString().endsWith(name))
                        .mapToDouble(line -> ((BigDecimal) line.get("standard_uncertainty_K")).doubleValue())
                        .map(kelvin -> kelvin * kelvin)
                        .sum());
    }

    private void aTableIsReadBackByItsMetadata(Path first, Path second) throws Exception {
        Wants.program("python3");
        Path csv = folder.resolve("differences.csv");
        Path json = folder.resolve("differences.json");
        Program.ended(folder, 0, "compare", first.toString(), second.toString(), "--csv", "--out", csv.toString());
        Program.ended(folder, 0, "compare", first.toString(), second.toString(), "--json", "--out", json.toString());
        Process python = new ProcessBuilder(
                        "python3", "src/test/peers/read_comparison.py", csv.toString(), json.toString())
                .redirectErrorStream(true)
                .start();
        String said = new String(python.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertEquals(0, python.waitFor(), said);
        assertTrue(said.matches("[0-9]+ rows, 13 columns\\s*"), said);
    }
}
