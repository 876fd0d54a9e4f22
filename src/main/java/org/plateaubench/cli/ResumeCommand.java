package org.plateaubench.cli;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneId;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.plateaubench.bench.BenchException;
import org.plateaubench.clock.SystemClock;
import org.plateaubench.clock.Utc;
import org.plateaubench.engine.Exit;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.night.Provenance;
import org.plateaubench.night.Retrace;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Sealing;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.SignerKey;
import org.plateaubench.record.TrustFile;
import org.plateaubench.units.Durations;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Goes on with a night that was cut off. */
@Command(
        name = "resume",
        mixinStandardHelpOptions = true,
        footer = {"", "Examples:", "  plateau resume records/20261124-221003-example-loop-a"},
        description = {
            "What was recorded up to the last checkpoint is decided again, the bench is looked at and made safe, and the"
                    + " night goes on at the pass that was cut, which is repeated. What came behind that checkpoint is kept"
                    + " in the record and not used. A night that had ended is only sealed.",
            "A key with a passphrase asks for it before the bench is touched; going on unattended needs one without."
        })
final class ResumeCommand implements Callable<Integer> {

    private static final double USUAL_GAP_SECONDS = 600;

    @Parameters(paramLabel = "RECORD", description = "the record's folder")
    private Path record;

    @Mixin
    private RunOptions options;

    @Option(
            names = "--gap",
            paramLabel = "DURATION",
            description = "how long a simulated bench stood alone, such as \"2 h\"; without it 10 min. A real gap is"
                    + " measured.")
    private String gap;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        PrintWriter err = spec.commandLine().getErr();
        try {
            RecordFolder folder = RecordFolder.open(record);
            if (folder.sealed()) {
                return sealedAlready(Keys.forRun(err));
            }
            NightFiles files = RetraceCommand.files(folder);
            if (gap != null && files.bench().simulation().isEmpty()) {
                throw new Refusal("--gap is for the simulated bench; a real gap is measured. Nothing was sent to the"
                        + " bench.");
            }
            double gapSeconds = gap == null ? USUAL_GAP_SECONDS : seconds(gap);
            NightRunner runner = new NightRunner(files, options, seed(folder, files), Optional.of(begun(folder)), spec);
            SealingKey key = Keys.forRun(err);
            return runner.run(
                            record.toAbsolutePath().getParent(),
                            key,
                            Optional.empty(),
                            Map.of(),
                            (night, keeping, listener) -> resume(night, gapSeconds, key, keeping, listener))
                    .map(finished -> finished.end().exit().code())
                    .orElse(Exit.BENCH_FAULT.code());
        } catch (IOException e) {
            throw new Refusal(record + " cannot be gone on with: " + Refusal.why(e) + "\nnothing was set", e);
        }
    }

    private NightRun.Finished resume(
            NightRun night, double gapSeconds, SealingKey key, NightRun.Keeping keeping, NightListener listener)
            throws BenchException, IOException {
        try {
            return night.resume(record, gapSeconds, signer -> believed(signer, key), keeping, listener);
        } catch (Retrace.OtherRules e) {
            throw new Refusal(e.getMessage() + "\nnothing was set", e);
        }
    }

    private static boolean believed(SignerKey signer, SealingKey own) {
        try {
            String now = Utc.text(new SystemClock().wall());
            return signer.equals(own.signer())
                    || Keys.home().trust().standing(signer, now).verdict() == TrustFile.Verdict.TRUSTED;
        } catch (IOException e) {
            throw new Refusal("the trust file cannot be used: " + Refusal.why(e) + "\nnothing was set", e);
        }
    }

    private int sealedAlready(SealingKey key) throws IOException {
        Sealing.Sealed sealed = Sealing.seal(record, key, Utc.text(new SystemClock().wall()), Map.of());
        PrintWriter out = spec.commandLine().getOut();
        out.println("the record is sealed already; the ledger beside it knows so");
        out.println("ledger head " + sealed.ledgerHead());
        out.flush();
        return Main.DONE;
    }

    /** An option that is a length of time, s. */
    static double seconds(String text) {
        return Durations.seconds(text)
                .orElseThrow(() -> new Refusal("'" + text + "' is no length of time; one looks like \"10 min\""));
    }

    private static OffsetDateTime begun(RecordFolder folder) throws IOException {
        return Instant.parse(folder.openedUtc()).atZone(ZoneId.systemDefault()).toOffsetDateTime();
    }

    private static long seed(RecordFolder folder, NightFiles files) throws IOException {
        return Provenance.of(folder).seed().orElse(NightOptions.usualSeed(files));
    }
}
