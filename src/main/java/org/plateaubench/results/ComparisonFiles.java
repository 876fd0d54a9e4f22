package org.plateaubench.results;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.plateaubench.record.Json;
import org.plateaubench.uncertainty.Difference;

/** A comparison for programs and for spreadsheets. A number that there is not is left out, or an empty cell. */
public final class ComparisonFiles {

    /** Power for which a detectable difference is stated. */
    private static final double POWER = 0.8;

    private ComparisonFiles() {}

    /**
     * Smallest true difference that an interval like this one would show in four of five cases.
     *
     * @param difference the difference
     * @return K; NaN where no interval can be given
     */
    public static double detectableKelvin(Difference difference) {
        return difference.budget().detectable(difference.coverageFactor(), POWER);
    }

    /**
     * Writes a comparison as JSON.
     *
     * @param comparison the comparison
     * @return JSON, ended by a line feed
     */
    public static String json(NightComparison comparison) {
        ResultFiles.Fields root = new ResultFiles.Fields();
        root.map.put("simulated", comparison.simulated());
        root.map.put("against", comparison.against());
        root.number("coverage_probability", StepResult.PROBABILITY, 2);
        List<Object> benches = new ArrayList<>();
        comparison.benches().forEach(b -> benches.add(bench(b)));
        root.map.put("benches", benches);
        List<Object> agreements = new ArrayList<>();
        comparison.benchAgreements().forEach(a -> agreements.add(agreement(a)));
        root.map.put("bench_agreements", agreements);
        List<Object> findings = new ArrayList<>();
        comparison.findings().forEach(f -> findings.add(ResultFiles.finding(f)));
        root.map.put("findings", findings);
        return Json.page(root.map);
    }

    private static Map<String, Object> bench(NightComparison.OnBench bench) {
        ResultFiles.Fields f = new ResultFiles.Fields();
        f.map.put("bench", bench.bench());
        f.map.put("order", bench.order());
        f.number("heat_flow_W", bench.heatFlowWatts(), 2);
        List<Object> differences = new ArrayList<>();
        bench.differences().forEach(d -> differences.add(difference(d)));
        f.map.put("differences", differences);
        List<Object> points = new ArrayList<>();
        bench.levels().points().forEach(p -> points.add(point(p)));
        f.map.put("points", points);
        List<Object> atEqualLevel = new ArrayList<>();
        bench.levels().differences().forEach(d -> atEqualLevel.add(difference(d)));
        f.map.put("differences_at_equal_own_level", atEqualLevel);
        List<Object> agreements = new ArrayList<>();
        bench.nightAgreements().forEach(a -> agreements.add(agreement(a)));
        f.map.put("night_agreements", agreements);
        return f.map;
    }

    private static Map<String, Object> difference(Difference d) {
        ResultFiles.Fields f = new ResultFiles.Fields();
        f.map.put("set", d.set());
        f.map.put("against", d.against());
        f.map.put("step", d.step());
        f.map.put("verdict", d.verdict().name().toLowerCase(Locale.ROOT).replace('_', '-'));
        f.map.put("statement", d.statement());
        f.number("difference_K", d.kelvin(), 4);
        f.number("expanded_uncertainty_K", d.expandedKelvin(), 4);
        f.number("coverage_factor", d.coverageFactor(), 3);
        f.number("degrees_of_freedom", d.budget().degreesOfFreedom(), 1);
        f.number("detectable_K", detectableKelvin(d), 4);
        f.map.put("nights_replicated", d.nightsReplicated());
        f.number("night_spread_K", d.nightSpreadKelvin(), 4);
        List<Object> budget = new ArrayList<>();
        d.budget().contributions().forEach(c -> budget.add(ResultFiles.contribution(c)));
        f.map.put("budget", budget);
        return f.map;
    }

    private static Map<String, Object> point(LevelComparison.Point p) {
        ResultFiles.Fields f = new ResultFiles.Fields();
        f.map.put("set", p.set());
        f.map.put("record", p.record());
        f.map.put("step", p.step());
        f.number("speed_rpm", p.rpm(), 1);
        f.number("own_level_dB", p.ownLevelDb(), 3);
        f.number("own_level_expanded_dB", p.ownLevelExpandedDb(), 3);
        f.number("rise_K", p.riseKelvin(), 4);
        f.number("expanded_uncertainty_K", p.expandedKelvin(), 4);
        return f.map;
    }

    private static Map<String, Object> agreement(NightComparison.NightAgreement a) {
        ResultFiles.Fields f = new ResultFiles.Fields();
        f.map.put("set", a.set());
        f.map.put("step", a.step());
        f.map.put("first", a.first());
        f.map.put("later", a.later());
        f.number("first_rise_K", a.firstKelvin(), 4);
        f.number("change_K", a.kelvin(), 4);
        f.number("expanded_uncertainty_K", a.expandedKelvin(), 4);
        f.number("e_number", a.normalizedError(), 3);
        f.number("detectable_K", a.detectableKelvin(), 4);
        f.number("together_expanded_uncertainty_K", a.togetherKelvin(), 4);
        f.map.put("apart", a.apart());
        return f.map;
    }

    private static Map<String, Object> agreement(NightComparison.BenchAgreement a) {
        ResultFiles.Fields f = new ResultFiles.Fields();
        f.map.put("set", a.set());
        f.map.put("step", a.step());
        f.map.put("first", a.first());
        f.map.put("second", a.second());
        f.number("first_difference_K", a.firstKelvin(), 4);
        f.number("second_difference_K", a.secondKelvin(), 4);
        f.number("expanded_uncertainty_K", a.expandedKelvin(), 4);
        f.number("e_number", a.normalizedError(), 3);
        f.number("detectable_K", a.detectableKelvin(), 4);
        f.number("together_expanded_uncertainty_K", a.togetherKelvin(), 4);
        f.map.put("apart", a.apart());
        return f.map;
    }

    /** A column of the CSV: its datatype of XML Schema, its unit where it has one, and what it means. */
    private record Column(String name, String datatype, String unit, String meaning) {}

    private static final List<Column> COLUMNS = List.of(
            new Column("simulated", "boolean", "", "true if nothing was measured"),
            new Column("bench", "string", "", "name of the bench"),
            new Column("set", "string", "", "fan set"),
            new Column("against", "string", "", "fan set that it is compared with"),
            new Column("step", "string", "", "setpoint, own level or mean of all steps at which they are compared"),
            new Column("verdict", "string", "", "cooler, warmer, equivalent or not-shown-to-differ"),
            new Column("difference_K", "decimal", "K", "rise of the set less that of the other; negative: cooler"),
            new Column(
                    "expanded_uncertainty_K", "decimal", "K", "half-width of its interval; all hold at once with 95 %"),
            new Column("coverage_factor", "decimal", "", "expanded over standard uncertainty"),
            new Column("degrees_of_freedom", "decimal", "", "effective; empty: infinite"),
            new Column("detectable_K", "decimal", "K", "true difference that is shown in four of five cases"),
            new Column("nights_replicated", "boolean", "", "true if the spread between nights is in the interval"),
            new Column("night_spread_K", "decimal", "K", "standard deviation between nights beyond the passes"));

    /**
     * Writes the differences as CSV (RFC 4180, line feeds as line ends), one row a difference: those at the steps, then
     * those at equal own level. An empty cell is a number that there is not.
     *
     * @param comparison the comparison
     * @return CSV
     */
    public static String csv(NightComparison comparison) {
        StringBuilder csv = new StringBuilder();
        for (int i = 0; i < COLUMNS.size(); i++) {
            csv.append(i == 0 ? "" : ",").append(COLUMNS.get(i).name());
        }
        csv.append('\n');
        for (NightComparison.OnBench bench : comparison.benches()) {
            List<Difference> all = new ArrayList<>(bench.differences());
            all.addAll(bench.levels().differences());
            for (Difference d : all) {
                Map<String, Object> fields = difference(d);
                fields.put("simulated", comparison.simulated());
                fields.put("bench", bench.bench());
                for (int i = 0; i < COLUMNS.size(); i++) {
                    Object value = fields.getOrDefault(COLUMNS.get(i).name(), "");
                    csv.append(i == 0 ? "" : ",").append(ResultFiles.cell(value.toString()));
                }
                csv.append('\n');
            }
        }
        return csv.toString();
    }

    /**
     * Describes the CSV: CSV on the web (W3C Recommendation of 17 December 2015, "Metadata Vocabulary for Tabular Data"),
     * to lie beside it as NAME-metadata.json.
     *
     * @param name name of the CSV file
     * @return JSON, ended by a line feed
     */
    public static String csvMetadata(String name) {
        List<Object> columns = new ArrayList<>();
        for (Column column : COLUMNS) {
            Map<String, Object> described = new LinkedHashMap<>();
            described.put("titles", column.name());
            described.put("datatype", column.datatype());
            described.put("dc:description", column.meaning());
            if (!column.unit().isEmpty()) {
                described.put("schema:unitText", column.unit());
            }
            columns.add(described);
        }
        Map<String, Object> dialect = new LinkedHashMap<>();
        dialect.put("encoding", "utf-8");
        dialect.put("lineTerminators", List.of("\n"));
        Map<String, Object> whole = new LinkedHashMap<>();
        whole.put("@context", "http://www.w3.org/ns/csvw");
        whole.put("url", name);
        whole.put("dialect", dialect);
        whole.put("tableSchema", Map.of("columns", columns));
        return Json.page(whole);
    }
}
