package org.plateaubench.cli;

import java.util.List;
import org.plateaubench.results.ComparisonFiles;
import org.plateaubench.results.LevelComparison;
import org.plateaubench.results.NightComparison;
import org.plateaubench.results.NightComparison.BenchAgreement;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.results.NightComparison.OnBench;
import org.plateaubench.uncertainty.Difference;
import org.plateaubench.uncertainty.NormalizedError;
import org.plateaubench.uncertainty.Rounded;
import org.plateaubench.units.Decimals;

/** A comparison as text for a terminal. */
final class ComparisonText {

    private ComparisonText() {}

    static String of(NightComparison comparison) {
        StringBuilder out = new StringBuilder();
        String mark = ResultsText.mark(comparison.simulated());
        for (OnBench bench : comparison.benches()) {
            out.append(mark)
                    .append("on \"")
                    .append(bench.bench())
                    .append("\", nights in order: ")
                    .append(String.join(", ", bench.order()))
                    .append('\n');
            differences(out, bench);
            levels(out, bench.levels());
            nights(out, bench);
        }
        if (!comparison.benchAgreements().isEmpty()) {
            out.append(mark).append("differences on two benches\n");
            out.append(benches(comparison.benchAgreements()));
        }
        out.append(FansAndSoundText.findings(comparison.findings()));
        return out.toString();
    }

    private static void differences(StringBuilder out, OnBench bench) {
        if (bench.differences().isEmpty()) {
            return;
        }
        TextTable table = new TextTable("step", "", ">k", ">shows from", ">between nights");
        for (Difference d : bench.differences()) {
            table.row(
                    d.step(),
                    d.statement(),
                    ResultsText.with(d.coverageFactor(), 2, ""),
                    ResultsText.with(ComparisonFiles.detectableKelvin(d), 2, "K"),
                    d.nightsReplicated() ? ResultsText.with(d.nightSpreadKelvin(), 3, "K") : "-");
        }
        out.append(table.text());
        out.append(
                "  all intervals hold at once with 95 %; a true difference is shown in four of five cases from the size"
                        + " that stands beside it\n");
        out.append(
                "  verdicts in this order: a shown difference, then equivalence, then \"not shown to differ\", which does"
                        + " not mean equal\n");
        if (Double.isFinite(bench.heatFlowWatts())) {
            out.append("  rises brought to ")
                    .append(ResultsText.with(bench.heatFlowWatts(), 1, "W"))
                    .append("; what errs alike in both, such as sensor offsets, cancels and is left out\n");
        }
        if (bench.differences().stream().noneMatch(Difference::nightsReplicated)) {
            out.append(
                    "  one night a set: these are differences of these nights and mounts; between-night variance is not"
                            + " estimated\n");
        }
    }

    private static void levels(StringBuilder out, LevelComparison levels) {
        boolean listened = levels.points().stream().anyMatch(p -> !Double.isNaN(p.ownLevelDb()));
        if (!listened) {
            return;
        }
        out.append("  at equal noise: rises over the fans' own level\n");
        TextTable points = new TextTable("set", "step", ">speed", ">own level ± U95", ">rise ± U95");
        for (LevelComparison.Point p : levels.points()) {
            points.row(
                    p.set(),
                    p.step(),
                    ResultsText.with(p.rpm(), 0, "rpm"),
                    Double.isNaN(p.ownLevelDb()) ? "-" : Rounded.of(p.ownLevelDb(), p.ownLevelExpandedDb()) + " dB",
                    Double.isNaN(p.expandedKelvin())
                            ? ResultsText.with(p.riseKelvin(), 2, "K")
                            : Rounded.of(p.riseKelvin(), p.expandedKelvin()) + " K");
        }
        out.append(points.text());
        if (levels.differences().isEmpty()) {
            return;
        }
        TextTable table = new TextTable("at", "", ">k", ">shows from");
        for (Difference d : levels.differences()) {
            table.row(
                    d.step(),
                    d.statement(),
                    ResultsText.with(d.coverageFactor(), 2, ""),
                    ResultsText.with(ComparisonFiles.detectableKelvin(d), 2, "K"));
        }
        out.append(table.text());
        out.append(
                "  between the steps of a night its rise is interpolated; the uncertainty of the levels is in these intervals,"
                        + " what the meter errs by in all nights alike is not\n");
    }

    private static void nights(StringBuilder out, OnBench bench) {
        if (bench.nightAgreements().isEmpty()) {
            return;
        }
        if (bench.returnsToASet()) {
            out.append(
                    "  a set was measured again after another: what it changed by in between is drift, which cancels in"
                            + " the mean of its nights as far as it is steady\n");
        }
        TextTable table = new TextTable("set", "step", "later night", ">change", ">± U95", ">shows from", ">E", "");
        for (NightAgreement a : bench.nightAgreements()) {
            table.row(
                    a.set(),
                    a.step(),
                    a.later(),
                    ResultsText.with(a.kelvin(), 3, "K"),
                    ResultsText.with(a.expandedKelvin(), 3, "K"),
                    ResultsText.with(a.detectableKelvin(), 2, "K"),
                    Decimals.fixed(a.normalizedError(), 2),
                    agrees(a.normalizedError()));
        }
        out.append(table.text());
    }

    private static String benches(List<BenchAgreement> agreements) {
        TextTable table = new TextTable("set", "step", ">first", ">second", ">± U95", ">shows from", ">E", "");
        for (BenchAgreement a : agreements) {
            table.row(
                    a.set(),
                    a.step(),
                    ResultsText.with(a.firstKelvin(), 3, "K"),
                    ResultsText.with(a.secondKelvin(), 3, "K"),
                    ResultsText.with(a.expandedKelvin(), 3, "K"),
                    ResultsText.with(a.detectableKelvin(), 2, "K"),
                    Decimals.fixed(a.normalizedError(), 2),
                    agrees(a.normalizedError()));
        }
        return table.text();
    }

    static String agrees(double normalizedError) {
        return NormalizedError.agrees(normalizedError) ? "agrees" : "does NOT agree";
    }
}
