package org.plateaubench.results;

import java.util.List;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.uncertainty.PassRise;
import org.plateaubench.uncertainty.SetNight;
import org.plateaubench.uncertainty.StepPasses;

/**
 * One night of a comparison.
 *
 * @param record what tells its record from the others, such as its folder
 * @param openedUtc when it was opened, ISO 8601; orders the nights, those of one time as they are given
 * @param files plan, fans and bench file
 * @param results its results
 * @param since what was said of it after the night, and whoever reads the comparison must know
 */
public record ComparedNight(
        String record, String openedUtc, NightFiles files, NightResults results, List<NightFinding> since) {

    /** Copies the list. */
    public ComparedNight {
        since = List.copyOf(since);
    }

    /**
     * A night of which nothing was said since.
     *
     * @param record what tells its record from the others, such as its folder
     * @param openedUtc when it was opened, ISO 8601
     * @param files plan, fans and bench file
     * @param results its results
     */
    public ComparedNight(String record, String openedUtc, NightFiles files, NightResults results) {
        this(record, openedUtc, files, results, List.of());
    }

    /** {@return name of its fan set} */
    public String set() {
        return results.set();
    }

    /** {@return what tells its bench from others: its name and how it was put together} */
    public String benchIdentity() {
        return files.bench().name() + "\n" + files.bench().configuration();
    }

    /** {@return heat flow that its rises are stated at, W; NaN where it is not measured} */
    public double heatFlowWatts() {
        return results.steps().stream()
                .mapToDouble(StepResult::nominalWatts)
                .findFirst()
                .orElse(Double.NaN);
    }

    /**
     * What it found, brought to another heat flow: the rise is proportional to it.
     *
     * @param watts heat flow, W; NaN leaves the rises as they are
     * @return its steps that have a pass
     */
    public SetNight atHeatFlow(double watts) {
        double factor = watts / heatFlowWatts();
        return new SetNight(
                set(),
                record,
                results.steps().stream()
                        .flatMap(s -> s.evidence().stream())
                        .map(e -> Double.isFinite(factor) ? scaled(e, factor) : e)
                        .toList());
    }

    private static StepPasses scaled(StepPasses step, double factor) {
        List<PassRise> passes =
                step.passes().stream().map(p -> p.scaled(factor)).toList();
        return new StepPasses(step.step(), passes, step.systematic());
    }
}
