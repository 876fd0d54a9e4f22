package org.plateaubench.night;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.results.NightResults;

/** Nights on simulated benches of any numbers: what was recorded, what came out, and the bench with its truth. */
final class SimulatedNights {

    private SimulatedNights() {}

    /** What a night left. */
    record Left(NightFiles files, MemoryRecord record, Command.End end, NightResults results, SimulatedBench bench) {

        /** The journal's decisions of a type, in order. */
        List<Map<String, Object>> decided(String type) throws IOException {
            return record.journal().stream()
                    .filter(line -> type.equals(line.get("decision")))
                    .toList();
        }

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
        return runUntil("", files, Optional.empty(), seed, faults);
    }

    /** Runs a night and asks it to end when a stage begins; to its end if there is no such stage. */
    static Left runUntil(
            String stage, NightFiles files, Optional<Input.LevelsFrom> levelsFrom, long seed, Fault... faults)
            throws IOException {
        VirtualClock clock = NightFixture.clock(files);
        SimulatedBench bench = NightFixture.bench(files, seed, clock, Transport.IN_PROCESS);
        for (Fault fault : faults) {
            bench.faults().add(fault);
        }
        MemoryRecord record = NightFixture.record(files);
        Night[] night = new Night[1];
        NightListener ender = new NightListener() {
            @Override
            public void journalled(double seconds, Map<String, Object> fields) {
                if ("stage".equals(fields.get("decision")) && stage.equals(fields.get("stage"))) {
                    night[0].request(new Input.Operator("the test"));
                }
            }
        };
        try (bench) {
            bench.open();
            night[0] = new Night(
                    files, levelsFrom, bench, clock, NightFixture.start(files).getOffset(), record, ender, true);
            Command.End end = night[0].run();
            return new Left(files, record, end, NightResults.of(files, record), bench);
        } catch (BenchException e) {
            throw new IllegalStateException("a simulated bench could not be opened", e);
        }
    }
}
