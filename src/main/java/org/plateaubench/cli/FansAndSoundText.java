package org.plateaubench.cli;

import java.util.List;
import org.plateaubench.results.AcousticResult;
import org.plateaubench.results.FanResult;
import org.plateaubench.results.FanSetResult;
import org.plateaubench.results.NightFinding;
import org.plateaubench.units.Decimals;

/** What a night said of fans and their sound, as text for a terminal. */
final class FansAndSoundText {

    private FansAndSoundText() {}

    static String fans(FanSetResult set) {
        TextTable table = new TextTable(
                "fan",
                ">starts at",
                ">stops below",
                ">slowest",
                ">fastest",
                ">play",
                ">linear within",
                ">spin-up",
                ">coast-down");
        for (FanResult fan : set.fans()) {
            if (fan.characterised()) {
                table.row(
                        fan.fan(),
                        trials(fan.start()),
                        trials(fan.stop()),
                        ResultsText.with(fan.minimumRpm(), 0, "rpm"),
                        ResultsText.with(fan.maximumRpm(), 0, "rpm"),
                        ResultsText.with(fan.hysteresisPercent(), 1, "%"),
                        ResultsText.with(fan.linearityPercent(), 1, "%"),
                        ResultsText.with(fan.spinUpSeconds(), 2, "s"),
                        ResultsText.with(fan.coastDownSeconds(), 2, "s"));
            } else {
                table.row(fan.fan(), "not characterised", "-", "-", "-", "-", "-", "-", "-");
            }
        }
        return table.text()
                + (set.characterised()
                        ? "  spread within the set: " + Decimals.fixed(set.spreadPercent(), 1)
                                + " % at the highest duty\n"
                        : "  the set is NOT characterised\n");
    }

    private static String trials(FanResult.Trials trials) {
        if (trials.trials() == 0) {
            return "-";
        }
        return trials.lowestPercent() == trials.highestPercent()
                ? Decimals.fixed(trials.meanPercent(), 1) + " %"
                : Decimals.fixed(trials.lowestPercent(), 1) + " to " + Decimals.fixed(trials.highestPercent(), 1)
                        + " %";
    }

    static String sound(AcousticResult sound) {
        TextTable levels = new TextTable(
                "pass", ">fans", ">total", ">background", ">gap", ">own level", "class", ">error times", ">left out");
        for (AcousticResult.Level level : sound.levels()) {
            levels.row(
                    level.pass(),
                    ResultsText.with(level.rpm(), 0, "rpm"),
                    ResultsText.with(level.totalDb(), 2, "dB"),
                    ResultsText.with(level.backgroundDb(), 2, "dB"),
                    ResultsText.with(level.gapDb(), 2, "dB"),
                    (level.gapClass().equals("upper-bound") ? "< " : "")
                            + ResultsText.with(level.ownLevelDb(), 2, "dB"),
                    level.gapClass(),
                    Double.isFinite(level.errorMultiplier()) ? Decimals.fixed(level.errorMultiplier(), 1) : "-",
                    ResultsText.with(level.rejectedPercent(), 0, "%"));
        }
        StringBuilder out = new StringBuilder(levels.text());
        sound.line()
                .ifPresent(line -> out.append("  own level ")
                        .append(ResultsText.with(line.ownLevelDb(), 2, "dB"))
                        .append(" at ")
                        .append(ResultsText.with(line.referenceRpm(), 0, "rpm"))
                        .append(", slope ")
                        .append(Decimals.fixed(line.slopeDbPerDecade(), 1))
                        .append(" ± ")
                        .append(Decimals.fixed(line.slopeExpandedDbPerDecade(), 1))
                        .append(" dB a decade of speed (50 by the fan laws)\n"));
        if (!sound.matches().isEmpty()) {
            out.append(matches(sound.matches()));
        }
        return out.toString();
    }

    private static String matches(List<AcousticResult.Match> matches) {
        TextTable table = new TextTable(
                "step", ">speed", ">95 % interval", ">±", ">own level", "compare", "heard there", "levels from");
        for (AcousticResult.Match m : matches) {
            table.row(
                    m.step(),
                    ResultsText.with(m.rpm(), 0, "rpm"),
                    Decimals.fixed(m.lowRpm(), 0) + " to "
                            + (Double.isFinite(m.highRpm()) ? Decimals.fixed(m.highRpm(), 0) : "?") + " rpm",
                    ResultsText.with(m.halfWidthPercent(), 1, "%"),
                    ResultsText.with(m.ownLevelDb(), 2, "dB"),
                    (m.tooWide() ? "too wide" : "yes") + (m.extrapolated() ? ", extrapolated" : ""),
                    m.verification()
                            .map(v -> (v.agrees() ? "agrees, " : "DIFFERS, ") + signed(v.aboveExpectedDb()) + " ± "
                                    + Decimals.fixed(v.expandedDb(), 2) + " dB")
                            .orElse("-"),
                    m.levelsFrom().isEmpty() ? "-" : m.levelsFrom());
        }
        return table.text();
    }

    private static String signed(double value) {
        return (value < 0 ? "" : "+") + Decimals.fixed(value, 2);
    }

    static String findings(List<NightFinding> findings) {
        StringBuilder out = new StringBuilder();
        if (!findings.isEmpty()) {
            out.append("  found on the way:\n");
        }
        for (NightFinding f : findings) {
            out.append("    ")
                    .append(f.about().isEmpty() ? "" : f.about() + ": ")
                    .append(f.text())
                    .append("  [")
                    .append(f.kind())
                    .append("]\n");
        }
        return out.toString();
    }
}
