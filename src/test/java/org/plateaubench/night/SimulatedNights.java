package org.plateaubench.night;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.Optional;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.results.NightResults;

/** Nights on simulated benches of any numbers: what was recorded, what came out, and the bench with its truth. */
final class SimulatedNights {

    private SimulatedNights() {}

    /** What a night left. */
    record Left(NightFiles files, MemoryRecord record, Command.End end, NightResults results, SimulatedBench bench) {

        /** The first difference between what was decided and what is decided again from the record. */
        Optional<Retrace.Difference> retraced() throws IOException, Retrace.OtherRules {
            return Retrace.of(files, record);
        }
    }

    /** The shipped bench file with one fan set A of these numbers, and these settings of bench and room. */
    static String bench(String settings, String set) {
        String shipped = new String(NightFiles.simulatedBench().bytes(), StandardCharsets.UTF_8);
        return shipped.substring(0, shipped.indexOf("  settings:\n")) + "  settings: { " + settings
                + " }\n  sets:\n    A: { " + set + " }\n";
    }

    static NightFiles files(String plan, String fans, String bench) {
        var parsed = NightFiles.read(text("plan.yaml", plan), text("fans.yaml", fans), text("bench.yaml", bench));
        return parsed.value()
                .orElseThrow(() -> new AssertionError(parsed.problems().toString()));
    }

    private static SourceText text(String name, String text) {
        return new SourceText(name, text.getBytes(StandardCharsets.UTF_8));
    }

    static Left run(NightFiles files, long seed, Fault... faults) throws IOException {
        VirtualClock clock = NightFixture.clock(files);
        SimulatedBench bench = NightFixture.bench(files, seed, clock, Transport.IN_PROCESS);
        for (Fault fault : faults) {
            bench.faults().add(fault);
        }
        MemoryRecord record = NightFixture.record(files);
        try (bench) {
            bench.open();
            Command.End end = new Night(
                            files,
                            java.util.Optional.empty(),
                            bench,
                            clock,
                            NightFixture.start(files).getOffset(),
                            record,
                            NightListener.NONE,
                            true)
                    .run();
            return new Left(files, record, end, NightResults.of(files, record), bench);
        } catch (BenchException e) {
            throw new IllegalStateException("a simulated bench could not be opened", e);
        }
    }
}
