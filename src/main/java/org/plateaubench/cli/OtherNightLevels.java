package org.plateaubench.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.plateaubench.audit.Audit;
import org.plateaubench.audit.AuditOptions;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.results.AcousticResult;
import org.plateaubench.results.NightResults;

/** Own levels that another night had at its level steps, from a record that passes an audit. */
final class OtherNightLevels {

    private OtherNightLevels() {}

    /**
     * Reads the levels.
     *
     * @param record folder of the other night's record
     * @param files the files of the night that shall have them
     * @return the levels, one for each step above the background of this night's plan
     * @throws Refusal if the record cannot be trusted, is of another bench, or lacks a level that is needed
     */
    static Input.LevelsFrom read(Path record, NightFiles files) {
        try {
            AuditReport audit = Audit.audit(record, AuditOptions.of(Keys.home().trust()));
            if (audit.fails()) {
                throw refusal("the record fails its audit:\n" + audit.text());
            }
            RecordFolder folder = RecordFolder.open(record);
            NightFiles other = RetraceCommand.files(folder);
            if (!other.bench().name().equals(files.bench().name())
                    || !meter(other.bench()).equals(meter(files.bench()))) {
                throw refusal("it was heard on the bench \"" + other.bench().name()
                        + "\", or with another meter; levels are compared on one bench only");
            }
            return new Input.LevelsFrom(folder.name(), levels(files, NightResults.of(other, folder)));
        } catch (IOException e) {
            throw new Refusal("--levels-from: " + record + " cannot be read: " + Refusal.why(e), e);
        }
    }

    private static List<Input.StepLevel> levels(NightFiles files, NightResults results) {
        List<AcousticResult.Match> matches =
                results.acoustic().map(AcousticResult::matches).orElse(List.of());
        List<Input.StepLevel> levels = new ArrayList<>();
        for (Step step : files.plan().thermal().map(Measurement.Thermal::steps).orElse(List.of())) {
            if (step instanceof Step.AboveBackground) {
                levels.add(new Input.StepLevel(
                        step.text(),
                        matches.stream()
                                .filter(m -> m.step().equals(step.text()))
                                .mapToDouble(AcousticResult.Match::ownLevelDb)
                                .findFirst()
                                .orElseThrow(() -> refusal("it has no own level for the step " + step.text()))));
            }
        }
        if (levels.isEmpty()) {
            throw refusal("the plan has no step above the background; an own-level step says its level itself");
        }
        return levels;
    }

    private static Optional<ChannelSpec.Level> meter(BenchFile bench) {
        return bench.levelChannel().flatMap(ChannelSpec::level);
    }

    private static Refusal refusal(String why) {
        return new Refusal("--levels-from: " + why + "\nNothing was sent to the bench.");
    }
}
