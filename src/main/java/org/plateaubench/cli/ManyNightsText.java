package org.plateaubench.cli;

import org.plateaubench.night.ManyNights;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.uncertainty.Proportion;
import org.plateaubench.units.Decimals;

/** The statistics of many nights as text for a terminal. */
final class ManyNightsText {

    private ManyNightsText() {}

    static String of(NightFiles files, ManyNights nights) {
        StringBuilder out = new StringBuilder();
        out.append("REHEARSED ")
                .append(nights.nights())
                .append(" nights on a simulated twin of \"")
                .append(files.bench().name())
                .append("\", seeds from ")
                .append(nights.firstSeed())
                .append(": ")
                .append(files.plan().title())
                .append('\n');
        TextTable steps = new TextTable(
                "step",
                ">true rise",
                ">bias",
                ">spread",
                ">of a pass",
                "95 % intervals hold",
                ">median U",
                ">k",
                ">95 % error",
                "repeatability holds",
                ">median",
                ">95 % error");
        for (ManyNights.Step s : nights.steps()) {
            steps.row(
                    s.step(),
                    ResultsText.with(s.truthKelvin(), 2, "K"),
                    ResultsText.with(s.biasKelvin(), 3, "K"),
                    ResultsText.with(s.spreadKelvin(), 3, "K"),
                    ResultsText.with(s.passSpreadKelvin(), 3, "K"),
                    share(s.coverage()),
                    ResultsText.with(s.expandedKelvin(), 3, "K"),
                    ResultsText.with(s.coverageFactor(), 2, ""),
                    ResultsText.with(s.errorWithOffsetsKelvin(), 3, "K"),
                    share(s.repeatability()),
                    ResultsText.with(s.repeatabilityKelvin(), 3, "K"),
                    ResultsText.with(s.errorKelvin(), 3, "K"));
        }
        out.append(steps.text())
                .append("  over all steps: intervals hold in ")
                .append(share(nights.coverage()))
                .append(" with offsets drawn, for repeatability in ")
                .append(share(nights.repeatability()))
                .append(" with sensors that are right\n");
        differences(out, nights.differences());
        out.append("  settled: ")
                .append(share(nights.settled()))
                .append(" of the passes; of these farther than ")
                .append(ResultsText.with(nights.settlingLimitKelvin(), 2, "K"))
                .append(" from the end: ")
                .append(share(nights.falselySettled()))
                .append('\n');
        hours(out, nights.hours());
        return out.toString();
    }

    private static void differences(StringBuilder out, ManyNights.Differences d) {
        TextTable table =
                new TextTable("difference of two nights", "95 % intervals hold", ">median U", ">k", ">95 % error");
        for (ManyNights.DifferenceStep s : d.steps()) {
            table.row(
                    s.step(),
                    share(s.coverage()),
                    ResultsText.with(s.expandedKelvin(), 3, "K"),
                    ResultsText.with(s.coverageFactor(), 2, ""),
                    ResultsText.with(s.errorKelvin(), 3, "K"));
        }
        out.append(table.text())
                .append("  ")
                .append(d.pairs())
                .append(" pairs of nights of one set: all intervals hold at once in ")
                .append(share(d.allHold()))
                .append("; shown to differ, falsely, in ")
                .append(share(d.falselyDifferent()))
                .append('\n');
        out.append("  a true difference at every step is shown");
        String comma = " ";
        for (ManyNights.Found found : d.found()) {
            out.append(comma)
                    .append("in ")
                    .append(percent(found.share().fraction()))
                    .append(" for ")
                    .append(Decimals.fixed(found.kelvin(), 1))
                    .append(" K");
            comma = ", ";
        }
        out.append("; in four of five cases from ")
                .append(ResultsText.with(d.foundKelvin(), 2, "K"))
                .append(" on\n");
    }

    private static void hours(StringBuilder out, ManyNights.Hours h) {
        out.append("  a night takes ")
                .append(ResultsText.with(h.night(), 1, "h"))
                .append(" for ")
                .append(Decimals.fixed(h.passes(), 1))
                .append(" passes, bias ")
                .append(ResultsText.with(h.biasKelvin(), 3, "K"))
                .append("; fixed waits of 30 min take ")
                .append(ResultsText.with(h.fixed(), 1, "h"))
                .append(" and end ")
                .append(ResultsText.with(h.fixedBiasKelvin(), 3, "K"))
                .append(" off; ");
        if (Double.isFinite(h.equal())) {
            out.append("at equal bias they take ")
                    .append(Decimals.fixed(h.equalWaitSeconds() / 60.0, 0))
                    .append(" min under heat and ")
                    .append(ResultsText.with(h.equal(), 1, "h"))
                    .append(": this plan takes ")
                    .append(Decimals.fixed(h.night() / h.equal(), 2))
                    .append(" of that\n");
        } else {
            out.append("no fixed wait of up to two hours has this plan's bias\n");
        }
    }

    private static String share(Proportion p) {
        return percent(p.fraction()) + " (" + percent(p.low()) + " to " + percent(p.high()) + ")";
    }

    private static String percent(double fraction) {
        return Double.isNaN(fraction) ? "-" : Decimals.fixed(100.0 * fraction, 1) + " %";
    }
}
