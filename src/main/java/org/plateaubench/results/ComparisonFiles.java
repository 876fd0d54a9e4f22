package org.plateaubench.results;

import java.util.ArrayList;
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

    private static Map<String, Object> agreement(NightComparison.NightAgreement a) {
        ResultFiles.Fields f = new ResultFiles.Fields();
        f.map.put("set", a.set());
        f.map.put("step", a.step());
        f.map.put("first", a.first());
        f.map.put("later", a.later());
        f.number("change_K", a.kelvin(), 4);
        f.number("expanded_uncertainty_K", a.expandedKelvin(), 4);
        f.number("e_number", a.normalizedError(), 3);
        f.number("detectable_K", a.detectableKelvin(), 4);
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
        return f.map;
    }

    /**
     * Writes the differences as CSV (RFC 4180, line feeds as line ends), one row a difference.
     *
     * @param comparison the comparison
     * @return CSV
     */
    public static String csv(NightComparison comparison) {
        List<String> heads = List.of(
                "set",
                "against",
                "step",
                "verdict",
                "difference_K",
                "expanded_uncertainty_K",
                "coverage_factor",
                "degrees_of_freedom",
                "detectable_K",
                "nights_replicated",
                "night_spread_K");
        StringBuilder csv = new StringBuilder("simulated,bench,")
                .append(String.join(",", heads))
                .append('\n');
        for (NightComparison.OnBench bench : comparison.benches()) {
            for (Difference d : bench.differences()) {
                csv.append(comparison.simulated()).append(',').append(ResultFiles.cell(bench.bench()));
                Map<String, Object> fields = difference(d);
                heads.forEach(head -> csv.append(',')
                        .append(ResultFiles.cell(fields.getOrDefault(head, "").toString())));
                csv.append('\n');
            }
        }
        return csv.toString();
    }
}
