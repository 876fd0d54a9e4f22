package org.plateaubench.night;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.record.Json;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Proportion;
import org.plateaubench.units.Decimals;

/**
 * The statistics of many nights for programs. A share is a bare fraction under its own name; its limits (Clopper and
 * Pearson, 95 %) stand beside it with _low and _high. A number that there is not is left out.
 */
public final class ManyNightsJson {

    private final Map<String, Object> map = new LinkedHashMap<>();

    private ManyNightsJson() {}

    /**
     * Writes the statistics.
     *
     * @param nights the statistics
     * @return JSON, ended by a line feed
     */
    public static String of(ManyNights nights) {
        ManyNightsJson root = new ManyNightsJson();
        root.map.put("simulated", true);
        root.map.put("nights", nights.nights());
        root.map.put("first_seed", nights.firstSeed());
        root.number("coverage_probability", StepResult.PROBABILITY, 2);
        root.share("coverage", nights.coverage());
        root.share("repeatability_coverage", nights.repeatability());
        List<Object> steps = new ArrayList<>();
        nights.steps().forEach(s -> steps.add(step(s)));
        root.map.put("steps", steps);
        root.map.put("differences", differences(nights.differences()));
        root.map.put("two_nights_a_set", replicated(nights.replicated()));
        root.share("settled", nights.settled());
        root.share("falsely_settled", nights.falselySettled());
        root.number("settling_limit_K", nights.settlingLimitKelvin(), 3);
        root.map.put("hours", hours(nights.hours()));
        List<Object> waits = new ArrayList<>();
        for (ManyNights.PublishedWait each : nights.publishedWaits()) {
            ManyNightsJson of = new ManyNightsJson();
            of.map.put("criterion", each.source());
            of.number("wait_min", each.waitSeconds() / 60.0, 0);
            of.number("bias_K", each.biasKelvin(), 4);
            waits.add(of.map);
        }
        root.map.put("published_criteria", waits);
        return Json.page(root.map);
    }

    private static Map<String, Object> step(ManyNights.Step s) {
        ManyNightsJson f = new ManyNightsJson();
        f.map.put("step", s.step());
        f.number("true_rise_K", s.truthKelvin(), 4);
        f.number("bias_K", s.biasKelvin(), 4);
        f.number("spread_K", s.spreadKelvin(), 4);
        f.number("pass_spread_K", s.passSpreadKelvin(), 4);
        f.number("error_95_K", s.errorKelvin(), 4);
        f.share("coverage", s.coverage());
        f.number("median_expanded_uncertainty_K", s.expandedKelvin(), 4);
        f.number("median_coverage_factor", s.coverageFactor(), 3);
        f.number("error_95_with_offsets_K", s.errorWithOffsetsKelvin(), 4);
        f.number("with_twice_the_repeats_K", s.twiceRepeatsKelvin(), 4);
        f.share("repeatability_coverage", s.repeatability());
        f.number("median_repeatability_K", s.repeatabilityKelvin(), 4);
        return f.map;
    }

    private static Map<String, Object> differences(ManyNights.Differences d) {
        ManyNightsJson f = new ManyNightsJson();
        f.map.put("pairs", d.pairs());
        f.share("coverage", d.coverage());
        f.share("all_hold", d.allHold());
        f.share("falsely_different", d.falselyDifferent());
        f.found(d.foundKelvin(), d.found());
        List<Object> steps = new ArrayList<>();
        for (ManyNights.DifferenceStep each : d.steps()) {
            ManyNightsJson of = new ManyNightsJson();
            of.map.put("step", each.step());
            of.share("coverage", each.coverage());
            of.number("median_expanded_uncertainty_K", each.expandedKelvin(), 4);
            of.number("median_coverage_factor", each.coverageFactor(), 3);
            of.number("error_95_K", each.errorKelvin(), 4);
            of.number("with_twice_the_repeats_K", each.twiceRepeatsKelvin(), 4);
            steps.add(of.map);
        }
        f.map.put("steps", steps);
        return f.map;
    }

    private static Map<String, Object> replicated(ManyNights.Replicated r) {
        ManyNightsJson f = new ManyNightsJson();
        f.map.put("groups", r.groups());
        f.share("falsely_different", r.falselyDifferent());
        f.found(r.foundKelvin(), r.found());
        return f.map;
    }

    private static Map<String, Object> hours(ManyNights.Hours h) {
        ManyNightsJson f = new ManyNightsJson();
        f.number("night_h", h.night(), 3);
        f.number("thermal_h", h.thermal(), 3);
        f.number("passes", h.passes(), 2);
        f.number("bias_K", h.biasKelvin(), 4);
        f.number("fixed_waits_h", h.fixed(), 3);
        f.number("fixed_waits_bias_K", h.fixedBiasKelvin(), 4);
        f.number("equal_bias_wait_min", h.equalWaitSeconds() / 60.0, 0);
        f.number("equal_bias_h", h.equal(), 3);
        f.number("share_of_fixed_waits", h.thermal() / h.fixed(), 3);
        f.number("share_of_equal_bias", h.shareOfEqualBias(), 3);
        return f.map;
    }

    private void found(double kelvin, List<ManyNights.Found> shares) {
        number("found_in_80_percent_K", kelvin, 4);
        List<Object> found = new ArrayList<>();
        for (ManyNights.Found each : shares) {
            ManyNightsJson of = new ManyNightsJson();
            of.number("true_difference_K", each.kelvin(), 2);
            of.share("shown", each.share());
            found.add(of.map);
        }
        map.put("found", found);
    }

    private void number(String name, double value, int decimals) {
        if (Double.isFinite(value)) {
            map.put(name, Decimals.json(value, decimals));
        }
    }

    private void share(String name, Proportion share) {
        number(name, share.fraction(), 4);
        number(name + "_low", share.low(), 4);
        number(name + "_high", share.high(), 4);
    }
}
