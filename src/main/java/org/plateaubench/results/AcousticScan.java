package org.plateaubench.results;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.results.AcousticResult.Level;
import org.plateaubench.results.AcousticResult.Line;
import org.plateaubench.results.AcousticResult.Match;
import org.plateaubench.results.AcousticResult.StepLevel;
import org.plateaubench.results.AcousticResult.Verification;

/** What the journal says of levels and matched speeds. */
final class AcousticScan {

    private final List<Level> levels = new ArrayList<>();
    private final List<StepLevel> speedLevels = new ArrayList<>();
    private final Map<String, JournalLine> matches = new LinkedHashMap<>();
    private final Map<String, Verification> verifications = new LinkedHashMap<>();
    private Optional<Line> levelLine = Optional.empty();

    void take(String decision, JournalLine line) {
        switch (decision) {
            case "bracket" -> levels.add(level(line));
            case "level-line" ->
                levelLine = Optional.of(new Line(
                        line.number("reference-rpm"),
                        line.number("own-level"),
                        line.number("slope"),
                        line.number("slope-expanded"),
                        line.number("curvature"),
                        line.number("background")));
            case "step-level" ->
                speedLevels.add(new StepLevel(
                        line.text("step"),
                        line.number("speed"),
                        line.number("own-level"),
                        line.number("own-level-expanded"),
                        line.flag("extrapolated")));
            case "matched" -> matches.put(line.text("step"), line);
            case "verified" ->
                verifications.put(
                        line.text("step"),
                        new Verification(line.number("above-expected"), line.number("expanded"), line.flag("agrees")));
            default -> {
                // Not about sound.
            }
        }
    }

    private static Level level(JournalLine line) {
        return new Level(
                line.text("pass"),
                line.number("rpm"),
                line.number("total"),
                line.number("background"),
                line.number("drift"),
                line.number("gap"),
                line.text("class"),
                line.number("own-level"),
                line.number("error-multiplier"),
                line.number("rejected-percent"));
    }

    private Match match(String step, JournalLine line) {
        return new Match(
                step,
                line.number("speed"),
                line.number("low"),
                line.number("high"),
                line.number("half-width"),
                line.number("own-level"),
                line.number("own-level-expanded"),
                line.flag("too-wide"),
                line.flag("extrapolated"),
                line.fields().containsKey("levels-from") ? line.text("levels-from") : "",
                Optional.ofNullable(verifications.get(step)));
    }

    Optional<AcousticResult> result() {
        if (levels.isEmpty()) {
            return Optional.empty();
        }
        List<Match> matched = new ArrayList<>();
        matches.forEach((step, line) -> matched.add(match(step, line)));
        return Optional.of(new AcousticResult(levels, levelLine, speedLevels, matched));
    }
}
