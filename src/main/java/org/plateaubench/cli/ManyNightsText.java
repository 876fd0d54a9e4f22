package org.plateaubench.cli;

import java.util.List;
import org.plateaubench.night.ManyNights;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Proportion;
import org.plateaubench.units.Decimals;

/** The statistics of many nights as text for a terminal. */
final class ManyNightsText {

    private static final double LEAST_HOURS_OF_OTHERS = 0.05;

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
        boolean repeated = nights.steps().stream().anyMatch(s -> Double.isFinite(s.expandedKelvin()));
        TextTable steps = new TextTable(
                "step", ">true rise", ">bias", ">spread", ">of a pass", ">median U", ">k", ">twice the repeats");
        for (ManyNights.Step s : nights.steps()) {
            steps.row(
                    s.step(),
                    ResultsText.with(s.truthKelvin(), 2, "K"),
                    ResultsText.with(s.biasKelvin(), 3, "K"),
                    ResultsText.with(s.spreadKelvin(), 3, "K"),
                    ResultsText.with(s.passSpreadKelvin(), 3, "K"),
                    ResultsText.with(s.expandedKelvin(), 3, "K"),
                    ResultsText.with(s.coverageFactor(), 2, ""),
                    ResultsText.with(s.twiceRepeatsKelvin(), 3, "K"));
        }
        out.append(steps.text());
        if (repeated) {
            coverage(out, nights);
            differences(out, nights.differences());
            replicated(out, nights);
        } else {
            out.append("  no step was repeated: the spread between passes is unknown, so there are no intervals\n");
        }
        out.append("  settled: ")
                .append(share(nights.settled()))
                .append(" of the passes; of these farther than ")
                .append(ResultsText.with(nights.settlingLimitKelvin(), 2, "K"))
                .append(" from the end: ")
                .append(share(nights.falselySettled()))
                .append('\n');
        hours(out, nights.hours());
        published(out, nights.publishedWaits());
        return out.toString();
    }

    private static void coverage(StringBuilder out, ManyNights nights) {
        TextTable table = new TextTable(
                "intervals for 95 %",
                "hold, offsets drawn", ">95 % error", "repeatability holds", ">median", ">95 % error");
        for (ManyNights.Step s : nights.steps()) {
            table.row(
                    s.step(),
                    share(s.coverage()),
                    ResultsText.with(s.errorWithOffsetsKelvin(), 3, "K"),
                    share(s.repeatability()),
                    ResultsText.with(s.repeatabilityKelvin(), 3, "K"),
                    ResultsText.with(s.errorKelvin(), 3, "K"));
        }
        table.row("all steps", share(nights.coverage()), "", share(nights.repeatability()), "", "");
        out.append(table.text());
    }

    private static void differences(StringBuilder out, ManyNights.Differences d) {
        TextTable table = new TextTable(
                "difference of two nights", "hold", ">median U", ">k", ">95 % error", ">twice the repeats");
        for (ManyNights.DifferenceStep s : d.steps()) {
            table.row(
                    s.step(),
                    share(s.coverage()),
                    ResultsText.with(s.expandedKelvin(), 3, "K"),
                    ResultsText.with(s.coverageFactor(), 2, ""),
                    ResultsText.with(s.errorKelvin(), 3, "K"),
                    ResultsText.with(s.twiceRepeatsKelvin(), 3, "K"));
        }
        out.append(table.text())
                .append("  ")
                .append(d.pairs())
                .append(" pairs of nights of one set: all intervals hold at once in ")
                .append(share(d.allHold()))
                .append("; shown to differ, falsely, in ")
                .append(share(d.falselyDifferent()))
                .append('\n');
        if (d.falselyDifferent().low() > 1.0 - StepResult.PROBABILITY) {
            out.append(
                    "  nights of one set differ by more than their passes do: more repeats do not help, more nights do\n");
        }
        found(out, "one night a set: a true difference", d.foundKelvin(), d.found());
    }

    private static void replicated(StringBuilder out, ManyNights nights) {
        ManyNights.Replicated r = nights.replicated();
        if (r.groups() > 0) {
            found(
                    out,
                    "two nights a set (" + r.groups() + " groups; shown to differ, falsely, in "
                            + share(r.falselyDifferent()) + "): it",
                    r.foundKelvin(),
                    r.found());
        }
    }

    private static void found(StringBuilder out, String what, double kelvin, List<ManyNights.Found> shares) {
        out.append("  ").append(what).append(" is shown");
        String comma = " ";
        for (ManyNights.Found found : shares) {
            out.append(comma)
                    .append("in ")
                    .append(percent(found.share().fraction()))
                    .append(" for ")
                    .append(Decimals.fixed(found.kelvin(), 1))
                    .append(" K");
            comma = ", ";
        }
        out.append("; in four of five cases from ")
                .append(ResultsText.with(kelvin, 2, "K"))
                .append(" on\n");
    }

    private static void hours(StringBuilder out, ManyNights.Hours h) {
        out.append("  a night takes ").append(ResultsText.with(h.night(), 1, "h"));
        if (h.night() - h.thermal() > LEAST_HOURS_OF_OTHERS) {
            out.append(", ").append(ResultsText.with(h.thermal(), 1, "h")).append(" of it");
        }
        out.append(" for ")
                .append(Decimals.fixed(h.passes(), 1))
                .append(" thermal passes, bias ")
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
                    .append(Decimals.fixed(h.shareOfEqualBias(), 2))
                    .append(" of that\n");
        } else {
            out.append("no fixed wait of up to two hours has this plan's bias\n");
        }
    }

    private static void published(StringBuilder out, List<ManyNights.PublishedWait> waits) {
        TextTable table = new TextTable("waits by published criteria", ">under heat", ">end off by");
        for (ManyNights.PublishedWait wait : waits) {
            table.row(
                    wait.source(),
                    Double.isNaN(wait.waitSeconds())
                            ? "over 2.5 h"
                            : Decimals.fixed(wait.waitSeconds() / 60.0, 0) + " min",
                    ResultsText.with(wait.biasKelvin(), 3, "K"));
        }
        out.append(table.text());
        out.append("  in a still room, without noise, nothing corrected; other standards' rules, not this program's\n");
    }

    private static String share(Proportion p) {
        return percent(p.fraction()) + " (" + percent(p.low()) + " to " + percent(p.high()) + ")";
    }

    private static String percent(double fraction) {
        return Double.isNaN(fraction) ? "-" : Decimals.fixed(100.0 * fraction, 1) + " %";
    }
}
