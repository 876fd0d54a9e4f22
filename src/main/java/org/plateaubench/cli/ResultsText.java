package org.plateaubench.cli;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.Rounded;
import org.plateaubench.units.Decimals;

/** The results of a night as text for a terminal. */
final class ResultsText {

    private ResultsText() {}

    static String text(NightResults results) {
        StringBuilder out = new StringBuilder();
        String mark = mark(results.simulated());
        out.append(mark)
                .append("Results of \"")
                .append(results.title())
                .append("\", fan set ")
                .append(results.set())
                .append(", mount ")
                .append(results.mount())
                .append(", on ")
                .append(results.bench())
                .append('\n');
        results.fans().ifPresent(fans -> out.append(FansAndSoundText.fans(fans)));
        results.acoustic().ifPresent(sound -> out.append(FansAndSoundText.sound(sound)));
        if (!results.steps().isEmpty()) {
            out.append(steps(results));
        }
        List<PassResult> leftOut = results.passes().stream()
                .filter(p -> p.status() == PassResult.Status.SPOILED || p.status() == PassResult.Status.SET_ASIDE)
                .toList();
        if (!leftOut.isEmpty()) {
            out.append("  left out, but kept in the record:\n");
            leftOut.forEach(p -> out.append("    pass ")
                    .append(p.pass())
                    .append(" (")
                    .append(p.step())
                    .append(p.status() == PassResult.Status.SET_ASIDE ? ", set aside): " : "): ")
                    .append(p.reason())
                    .append('\n'));
        }
        if (results.baselineStartKelvin().isPresent()) {
            out.append("  rise without load: ")
                    .append(with(results.baselineStartKelvin().getAsDouble(), 2, "K"))
                    .append(" at the start");
            if (results.baselineEndKelvin().isPresent()) {
                out.append(", ")
                        .append(with(results.baselineEndKelvin().getAsDouble(), 2, "K"))
                        .append(" at the end; a change counts beyond twice its own uncertainty");
            }
            out.append('\n');
        }
        out.append(FansAndSoundText.findings(results.findings()));
        out.append("  These fans, mounted once, on one night: between-night variance is not estimated.\n");
        return out.toString();
    }

    private static String steps(NightResults results) {
        TextTable table = new TextTable(
                "step",
                ">passes",
                ">coolant rise ± U95",
                ">k",
                ">repeatability",
                ">pooled spread",
                ">CPU rise",
                ">fans",
                ">heat",
                ">coolant to ambient",
                "settled");
        for (StepResult s : results.steps()) {
            table.row(
                    s.step(),
                    Integer.toString(s.passes()),
                    Double.isFinite(s.expandedKelvin())
                            ? Rounded.of(s.coolantRiseKelvin(), s.expandedKelvin()) + " K"
                            : with(s.coolantRiseKelvin(), 2, "K"),
                    with(s.coverageFactor(), 2, ""),
                    with(s.repeatabilityKelvin(), 2, "K"),
                    with(s.pooledSpreadKelvin(), 3, "K"),
                    with(s.cpuRiseKelvin(), 1, "K"),
                    with(s.fanRpm(), 0, "rpm"),
                    with(s.powerWatts(), 1, "W"),
                    with(s.coolantToAmbientResistance(), 4, "K/W"),
                    s.passes() == 0 ? "-" : s.settled() == s.passes() ? "yes" : s.settled() + " of " + s.passes());
        }
        StringBuilder out = new StringBuilder(table.text());
        budget(results.steps().stream().filter(s -> s.estimate().isPresent()).toList())
                .ifPresent(out::append);
        return out.toString();
    }

    /** What each step's standard uncertainty is made of, one column a step. */
    private static Optional<String> budget(List<StepResult> steps) {
        if (steps.isEmpty()) {
            return Optional.empty();
        }
        List<String> heads = new ArrayList<>(List.of("standard uncertainty from"));
        steps.forEach(s -> heads.add(">" + s.step()));
        TextTable table = new TextTable(heads.toArray(String[]::new));
        List<List<Contribution>> budgets = steps.stream()
                .map(s -> s.estimate().orElseThrow().full().contributions())
                .toList();
        budgets.stream()
                .flatMap(List::stream)
                .map(Contribution::name)
                .distinct()
                .forEach(name -> {
                    List<String> cells = new ArrayList<>(List.of(name));
                    budgets.forEach(b -> cells.add(b.stream()
                            .filter(c -> c.name().equals(name))
                            .findFirst()
                            .map(c -> with(c.inResult(), 4, "K"))
                            .orElse("-")));
                    table.row(cells.toArray(String[]::new));
                });
        double watts = steps.get(0).nominalWatts();
        return Optional.of("  rise at equilibrium, at the speed of the setpoint"
                + (Double.isFinite(watts) ? " and at " + with(watts, 1, "W") : "")
                + "; intervals for 95 %, repeatability from the spread between passes alone\n"
                + table.text());
    }

    /** What lines begin with where nothing was measured. */
    static String mark(boolean simulated) {
        return simulated ? "SIMULATED  " : "";
    }

    static String with(double value, int decimals, String unit) {
        return Double.isFinite(value) ? (Decimals.fixed(value, decimals) + " " + unit).strip() : "-";
    }
}
