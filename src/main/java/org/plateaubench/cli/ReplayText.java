package org.plateaubench.cli;

import org.plateaubench.results.NightComparison;
import org.plateaubench.results.NightComparison.NightAgreement;
import org.plateaubench.results.NightComparison.OnBench;
import org.plateaubench.units.Decimals;

/** How a replay went against its record, as text for a terminal. */
final class ReplayText {

    private ReplayText() {}

    /** Both nights step by step; on two benches the differences between fan sets. */
    static String of(String first, String again, NightComparison comparison) {
        if (comparison.benches().size() > 1) {
            return ComparisonText.of(comparison);
        }
        OnBench bench = comparison.benches().get(0);
        TextTable table = new TextTable(
                "step", ">first rise", ">this rise", ">change", ">± U95", ">shows from", ">E", "by itself");
        for (NightAgreement a : bench.nightAgreements()) {
            table.row(
                    a.step(),
                    ResultsText.with(a.firstKelvin(), 3, "K"),
                    ResultsText.with(a.firstKelvin() + a.kelvin(), 3, "K"),
                    ResultsText.with(a.kelvin(), 3, "K"),
                    ResultsText.with(a.expandedKelvin(), 3, "K"),
                    ResultsText.with(a.detectableKelvin(), 3, "K"),
                    Decimals.fixed(a.normalizedError(), 2),
                    ComparisonText.agrees(a.normalizedError()));
        }
        return ResultsText.mark(comparison.simulated()) + "replay " + again + " of " + first + " on \""
                + bench.bench() + "\"\n"
                + table.text()
                + (Double.isFinite(bench.heatFlowWatts())
                        ? "  rises at " + ResultsText.with(bench.heatFlowWatts(), 1, "W") + "; what"
                        : "  what")
                + " errs alike in both nights, such as sensor offsets, is not in the change nor in its U95\n"
                + "  what one night or mount differs by from another is no part of U95 either, and shows as a change\n"
                + "  E is the change over its U95 and agrees up to 1; a true change is seen in four of five replays from the"
                + " size beside it\n"
                + FansAndSoundText.findings(comparison.findings());
    }
}
