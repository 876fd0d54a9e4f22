package org.plateaubench.results;

import java.io.IOException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.equilibrium.LagFilter;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordedNight;

/**
 * The results of one night.
 *
 * @param title title of the plan
 * @param set name of the fan set
 * @param mount number of its mount
 * @param bench name of the bench
 * @param simulated true if the bench was simulated
 * @param ending how the night ended, as text; "not ended" if the record has no end
 * @param reason why it ended, one line; may be empty
 * @param baselineStartKelvin rise without load at the beginning, K, if it was measured
 * @param baselineEndKelvin rise without load at the end, K, if it was measured
 * @param steps one a step, in plan order
 * @param passes of all measurements in the order of execution, spoiled ones among them
 * @param fans figures of the fans, if they were characterised
 * @param acoustic levels and matched speeds, if they were measured
 * @param findings what was found on the way, in order
 */
public record NightResults(
        String title,
        String set,
        int mount,
        String bench,
        boolean simulated,
        String ending,
        String reason,
        OptionalDouble baselineStartKelvin,
        OptionalDouble baselineEndKelvin,
        List<StepResult> steps,
        List<PassResult> passes,
        Optional<FanSetResult> fans,
        Optional<AcousticResult> acoustic,
        List<NightFinding> findings) {

    /** Copies the lists. */
    public NightResults {
        findings = List.copyOf(findings);
        steps = List.copyOf(steps);
        passes = List.copyOf(passes);
    }

    /**
     * Works the results out of a record.
     *
     * @param files plan, fans and bench file of the record
     * @param night the record
     * @return its results
     * @throws IOException if the record cannot be read
     */
    public static NightResults of(NightFiles files, RecordedNight night) throws IOException {
        JournalScan scan = new JournalScan(night.journal());
        LagFilter ambient = new LagFilter(
                files.bench().loopTimeConstantSeconds(), files.bench().probeLagSeconds());
        Readout.Columns columns = new Readout.Columns(files.bench());
        List<DwellMeans> dwells = scan.dwells();
        night.samples(row -> {
            Readout readout = new Readout(row.sample(), columns);
            double now = readout.ambientCelsius();
            double filtered = Double.isNaN(now) ? ambient.value() : ambient.add(readout.seconds(), now);
            dwells.forEach(dwell -> dwell.take(readout, filtered));
        });
        List<PassResult> passes = scan.passes();
        List<StepResult> steps =
                files.plan().thermal().map(thermal -> steps(thermal, passes)).orElse(List.of());
        return new NightResults(
                files.plan().title(),
                files.fans().set(),
                files.fans().mount().number(),
                files.bench().name(),
                scan.simulated(),
                scan.ending(),
                scan.reason(),
                scan.baseline("start"),
                scan.baseline("end"),
                steps,
                passes,
                scan.fans(),
                scan.acoustic(),
                scan.findings());
    }

    /**
     * The results of a night whose record cannot be read back.
     *
     * @param files plan, fans and bench file
     * @param simulated true if the bench was simulated
     * @param ending how the night ended
     * @param reason why
     * @return results without any pass
     */
    public static NightResults empty(NightFiles files, boolean simulated, String ending, String reason) {
        return new NightResults(
                files.plan().title(),
                files.fans().set(),
                files.fans().mount().number(),
                files.bench().name(),
                simulated,
                ending,
                reason,
                OptionalDouble.empty(),
                OptionalDouble.empty(),
                List.of(),
                List.of(),
                Optional.empty(),
                Optional.empty(),
                List.of());
    }

    private static List<StepResult> steps(Measurement.Thermal thermal, List<PassResult> passes) {
        Map<String, List<PassResult>> counted = new LinkedHashMap<>();
        thermal.steps().forEach(step -> counted.put(step.text(), new ArrayList<>()));
        for (PassResult pass : passes) {
            if (pass.thermal() && pass.status() == PassResult.Status.DONE && !pass.reference()) {
                counted.get(pass.step()).add(pass);
            }
        }
        return StepTable.of(counted);
    }
}
