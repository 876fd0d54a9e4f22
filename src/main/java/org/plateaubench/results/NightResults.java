package org.plateaubench.results;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.IntStream;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFault;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.thermal.Air;

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
 * @param airDensityKilogramsPerCubicMetre mean density of the air over the dwells, kg/m³, where the pressure is measured
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
        OptionalDouble airDensityKilogramsPerCubicMetre,
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
     * @throws IOException if the record cannot be read, or what it says does not go together
     */
    public static NightResults of(NightFiles files, RecordedNight night) throws IOException {
        return of(files, night, Map.of());
    }

    /**
     * The same, as if some passes had not been done.
     *
     * @param files plan, fans and bench file of the record
     * @param night the record
     * @param setAside names of the passes that are left out, with the reasons
     * @return its results without them
     * @throws IOException if the record cannot be read, or what it says does not go together
     */
    public static NightResults of(NightFiles files, RecordedNight night, Map<String, String> setAside)
            throws IOException {
        try {
            return workedOut(files, night, setAside);
        } catch (RuntimeException e) {
            RecordFault fault = new RecordFault(
                    "data/journal.jsonl",
                    "no results can be worked out of what this says and of data/samples.csv: " + e);
            fault.initCause(e);
            throw fault;
        }
    }

    private static NightResults workedOut(NightFiles files, RecordedNight night, Map<String, String> setAside)
            throws IOException {
        JournalScan scan = new JournalScan(night.journal());
        NightColumns columns = NightColumns.of(night, files.bench());
        List<PassResult> passes = scan.passes(columns, files.bench()).stream()
                .map(p -> p.status() == PassResult.Status.DONE && setAside.containsKey(p.pass())
                        ? p.setAside(setAside.get(p.pass()))
                        : p)
                .toList();
        OptionalDouble baselineChange = scan.baselineChange(columns, files.bench());
        List<StepResult> steps = files.plan().thermal().isEmpty()
                ? List.of()
                : StepTable.of(
                        files.plan(),
                        files.bench(),
                        passes,
                        baselineChange,
                        scan.acoustic().map(AcousticResult::matches).orElse(List.of()));
        List<NightFinding> findings = new ArrayList<>(scan.findings());
        if (!steps.isEmpty()) {
            findings.addAll(new ThermalFindings(files.bench(), columns, passes, steps, baselineChange).all());
        }
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
                airDensity(columns, passes),
                steps,
                StepTable.withNominalRises(passes, steps),
                scan.fans(),
                scan.acoustic(),
                findings);
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
                OptionalDouble.empty(),
                List.of(),
                List.of(),
                Optional.empty(),
                Optional.empty(),
                List.of());
    }

    private static OptionalDouble airDensity(NightColumns columns, List<PassResult> passes) {
        return passes.stream()
                .filter(PassResult::counts)
                .flatMapToInt(p -> IntStream.range(columns.rowOf(p.fromTick()), columns.rowOf(p.toTick() + 1)))
                .filter(row -> columns.pressure(row) > 0.0 && !Double.isNaN(columns.ambient(row)))
                .mapToDouble(row -> Air.densityKilogramsPerCubicMetre(
                        columns.ambient(row), columns.pressure(row), columns.humidity(row)))
                .average();
    }
}
