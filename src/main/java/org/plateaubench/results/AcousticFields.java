package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.plateaubench.results.ResultFiles.Fields;

/** Levels and matched speeds as fields of results.json. */
final class AcousticFields {

    private AcousticFields() {}

    static Map<String, Object> of(AcousticResult result) {
        Fields f = new Fields();
        List<Object> levels = new ArrayList<>();
        result.levels().forEach(level -> levels.add(level(level)));
        f.map.put("levels", levels);
        result.line().ifPresent(line -> f.map.put("line", line(line)));
        List<Object> speedLevels = new ArrayList<>();
        result.speedLevels().forEach(level -> speedLevels.add(speedLevel(level)));
        f.map.put("speed_levels", speedLevels);
        List<Object> matches = new ArrayList<>();
        result.matches().forEach(match -> matches.add(match(match)));
        f.map.put("matches", matches);
        return f.map;
    }

    private static Map<String, Object> level(AcousticResult.Level level) {
        Fields f = new Fields();
        f.map.put("pass", level.pass());
        f.number("speed_rpm", level.rpm(), 1);
        f.number("total_dB", level.totalDb(), 3);
        f.number("background_dB", level.backgroundDb(), 3);
        f.number("background_drift_dB", level.driftDb(), 3);
        f.number("gap_dB", level.gapDb(), 3);
        f.map.put("class", level.gapClass());
        f.number("own_level_dB", level.ownLevelDb(), 3);
        f.number("error_multiplier", level.errorMultiplier(), 2);
        f.number("rejected_percent", level.rejectedPercent(), 1);
        return f.map;
    }

    private static Map<String, Object> line(AcousticResult.Line line) {
        Fields f = new Fields();
        f.number("reference_rpm", line.referenceRpm(), 1);
        f.number("own_level_dB", line.ownLevelDb(), 3);
        f.number("slope_dB_per_decade", line.slopeDbPerDecade(), 2);
        f.number("slope_expanded_dB_per_decade", line.slopeExpandedDbPerDecade(), 2);
        f.number("curvature_dB_per_decade_squared", line.curvatureDbPerDecadeSquared(), 2);
        f.number("background_dB", line.backgroundDb(), 3);
        return f.map;
    }

    private static Map<String, Object> speedLevel(AcousticResult.StepLevel level) {
        Fields f = new Fields();
        f.map.put("step", level.step());
        f.number("speed_rpm", level.rpm(), 1);
        f.number("own_level_dB", level.ownLevelDb(), 3);
        f.number("own_level_expanded_dB", level.ownLevelExpandedDb(), 3);
        f.map.put("extrapolated", level.extrapolated());
        return f.map;
    }

    private static Map<String, Object> match(AcousticResult.Match match) {
        Fields f = new Fields();
        f.map.put("step", match.step());
        f.number("speed_rpm", match.rpm(), 1);
        f.number("low_rpm", match.lowRpm(), 1);
        f.number("high_rpm", match.highRpm(), 1);
        f.number("half_width_percent", match.halfWidthPercent(), 2);
        f.number("own_level_dB", match.ownLevelDb(), 3);
        f.number("own_level_expanded_dB", match.ownLevelExpandedDb(), 3);
        f.map.put("too_wide", match.tooWide());
        f.map.put("extrapolated", match.extrapolated());
        if (!match.levelsFrom().isEmpty()) {
            f.map.put("levels_from", match.levelsFrom());
        }
        match.verification().ifPresent(v -> {
            Fields verified = new Fields();
            verified.number("above_expected_dB", v.aboveExpectedDb(), 3);
            verified.number("expanded_dB", v.expandedDb(), 3);
            verified.map.put("agrees", v.agrees());
            f.map.put("verification", verified.map);
        });
        return f.map;
    }
}
