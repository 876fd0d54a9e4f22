package org.plateaubench.results;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.equilibrium.Settling;
import org.plateaubench.record.Json;
import org.plateaubench.uncertainty.Budget;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.MonteCarlo;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.units.Decimals;

/**
 * Results as the files of a record: results.json for programs, passes.csv for spreadsheets. A number that there is not
 * is left out of the JSON and is an empty cell of the CSV.
 */
public final class ResultFiles {

    private static final int CONFIRMED_DIGITS = 1;

    private ResultFiles() {}

    /**
     * Writes results.json.
     *
     * @param results the results
     * @return its bytes, UTF-8
     */
    public static byte[] json(NightResults results) {
        Fields root = new Fields();
        root.map.put("title", results.title());
        root.map.put("set", results.set());
        root.map.put("mount", results.mount());
        root.map.put("bench", results.bench());
        root.map.put("simulated", results.simulated());
        root.map.put("ending", results.ending());
        root.map.put("reason", results.reason());
        root.number("baseline_start_K", results.baselineStartKelvin().orElse(Double.NaN), 4);
        root.number("baseline_end_K", results.baselineEndKelvin().orElse(Double.NaN), 4);
        root.number(
                "air_density_kg_per_m3",
                results.airDensityKilogramsPerCubicMetre().orElse(Double.NaN),
                4);
        List<Object> steps = new ArrayList<>();
        results.steps().forEach(s -> steps.add(step(s)));
        root.map.put("steps", steps);
        List<Object> passes = new ArrayList<>();
        results.passes().forEach(p -> passes.add(pass(p)));
        root.map.put("passes", passes);
        results.fans().ifPresent(fans -> root.map.put("fans", FanFields.of(fans)));
        results.acoustic().ifPresent(acoustic -> root.map.put("acoustic", AcousticFields.of(acoustic)));
        List<Object> findings = new ArrayList<>();
        results.findings().forEach(f -> findings.add(finding(f)));
        root.map.put("findings", findings);
        return Json.page(root.map).getBytes(StandardCharsets.UTF_8);
    }

    private static Map<String, Object> step(StepResult s) {
        Fields f = new Fields();
        f.map.put("step", s.step());
        f.map.put("passes", s.passes());
        f.map.put("settled", s.settled());
        f.number("coolant_rise_K", s.coolantRiseKelvin(), 4);
        f.number("measured_rise_K", s.measuredRiseKelvin(), 4);
        f.number("nominal_speed_rpm", s.nominalRpm(), 1);
        f.number("nominal_heat_flow_W", s.nominalWatts(), 2);
        f.number("speed_exponent", s.speedExponent(), 3);
        f.number("spread_K", s.spreadKelvin(), 4);
        f.number("pooled_spread_K", s.pooledSpreadKelvin(), 4);
        f.number("repeatability_K", s.repeatabilityKelvin(), 4);
        f.number("expanded_uncertainty_K", s.expandedKelvin(), 4);
        f.number("coverage_factor", s.coverageFactor(), 3);
        f.number("coverage_probability", StepResult.PROBABILITY, 2);
        List<Object> budget = new ArrayList<>();
        s.estimate().ifPresent(e -> e.full().contributions().forEach(c -> budget.add(contribution(c))));
        f.map.put("budget", budget);
        s.estimate().filter(StepEstimate::complete).ifPresent(e -> propagated(f, e.full(), s.expandedKelvin()));
        f.number("cpu_rise_K", s.cpuRiseKelvin(), 3);
        f.number("fan_speed_rpm", s.fanRpm(), 1);
        f.number("heat_flow_W", s.powerWatts(), 2);
        f.number("coolant_to_ambient_resistance_K_per_W", s.coolantToAmbientResistance(), 5);
        return f.map;
    }

    /** The second path of the budget, and whether it confirms the first to one digit (JCGM 101, 8.1). */
    private static void propagated(Fields f, Budget budget, double expandedKelvin) {
        MonteCarlo second = budget.propagated(StepResult.PROBABILITY);
        f.number("monte_carlo_low_K", second.low(), 4);
        f.number("monte_carlo_high_K", second.high(), 4);
        f.map.put("monte_carlo_confirms", second.confirms(0.0, expandedKelvin, CONFIRMED_DIGITS));
    }

    static Map<String, Object> contribution(Contribution c) {
        Fields f = new Fields();
        f.map.put("name", c.name());
        f.number("standard_uncertainty_K", c.inResult(), 5);
        f.number("degrees_of_freedom", c.degreesOfFreedom(), 1);
        f.map.put("shared_by_nights", c.shared());
        return f.map;
    }

    private static Map<String, Object> pass(PassResult p) {
        Fields f = new Fields();
        f.map.put("pass", p.pass());
        f.map.put("measurement", p.measurement());
        f.map.put("step", p.step());
        f.map.put("reference", p.reference());
        f.map.put("status", p.status().text());
        f.map.put("reason", p.reason());
        f.map.put("settled", p.settled());
        f.number("soak_s", p.soakSeconds(), 1);
        if (p.fromTick() >= 0) {
            f.map.put("from_tick", p.fromTick());
            f.map.put("to_tick", p.toTick());
        }
        f.map.put("readings", p.dwell().readings());
        f.number("coolant_rise_K", p.dwell().coolantRiseKelvin(), 4);
        f.number("standard_error_K", p.dwell().meanStandardError(), 4);
        if (p.fromTick() >= 0) {
            f.map.put("settling", settling(p.dwell().settling()));
            f.map.put("slow_mode_excluded", p.dwell().settling().slowModeExcluded());
            f.number("settling_K", p.dwell().settling().correctionKelvin(), 4);
            f.number("settling_uncertainty_K", p.dwell().settlingUncertaintyKelvin(), 4);
        }
        f.number("nominal_rise_K", p.nominalRiseKelvin(), 4);
        f.number("loop_time_constant_s", p.dwell().loopTimeConstantSeconds(), 1);
        f.number("cpu_rise_K", p.dwell().cpuRiseKelvin(), 3);
        f.number("ambient_degC", p.dwell().ambientCelsius(), 3);
        f.number("fan_speed_rpm", p.dwell().fanRpm(), 1);
        f.number("pump_speed_rpm", p.dwell().pumpRpm(), 1);
        f.number("heat_flow_W", p.dwell().powerWatts(), 2);
        f.number("coolant_to_ambient_resistance_K_per_W", p.dwell().coolantToAmbientResistance(), 5);
        return f.map;
    }

    private static String settling(Settling settling) {
        return settling instanceof Settling.Approach
                ? "approach"
                : settling instanceof Settling.Flat ? "flat" : "drift";
    }

    static Map<String, Object> finding(NightFinding finding) {
        Fields f = new Fields();
        f.map.put("kind", finding.kind());
        f.map.put("about", finding.about());
        f.map.put("text", finding.text());
        return f.map;
    }

    /** JSON fields in order, without those that are no number. */
    static final class Fields {
        final Map<String, Object> map = new LinkedHashMap<>();

        void number(String name, double value, int decimals) {
            if (Double.isFinite(value)) {
                map.put(name, Decimals.json(value, decimals));
            }
        }
    }

    /**
     * Writes passes.csv (RFC 4180, line feeds as line ends): the fields of a pass in results.json, one row for each
     * pass of the thermal measurement.
     *
     * @param results the results
     * @return its bytes, UTF-8
     */
    public static byte[] csv(NightResults results) {
        List<String> heads = List.of(
                "pass",
                "step",
                "reference",
                "status",
                "reason",
                "settled",
                "soak_s",
                "from_tick",
                "to_tick",
                "readings",
                "coolant_rise_K",
                "standard_error_K",
                "settling",
                "slow_mode_excluded",
                "settling_K",
                "settling_uncertainty_K",
                "nominal_rise_K",
                "loop_time_constant_s",
                "cpu_rise_K",
                "ambient_degC",
                "fan_speed_rpm",
                "pump_speed_rpm",
                "heat_flow_W",
                "coolant_to_ambient_resistance_K_per_W");
        StringBuilder csv = new StringBuilder(String.join(",", heads)).append('\n');
        for (PassResult p :
                results.passes().stream().filter(PassResult::thermal).toList()) {
            Map<String, Object> fields = pass(p);
            for (int i = 0; i < heads.size(); i++) {
                Object value = fields.getOrDefault(heads.get(i), "");
                csv.append(i == 0 ? "" : ",").append(cell(value.toString()));
            }
            csv.append('\n');
        }
        return csv.toString().getBytes(StandardCharsets.UTF_8);
    }

    static String cell(String text) {
        boolean plain = text.indexOf(',') < 0 && text.indexOf('"') < 0 && text.indexOf('\n') < 0;
        return plain ? text : '"' + text.replace("\"", "\"\"") + '"';
    }
}
