package org.plateaubench.night;

import java.io.IOException;
import java.io.InputStream;
import java.time.OffsetDateTime;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.Parsed;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.MemoryRecord;

/** Nights on the simulated bench, kept in memory. */
final class NightFixture {

    private NightFixture() {}

    /** The named plan of the test resources with the simulated bench that ships inside the program. */
    static NightFiles files(String plan) {
        return files(plan, NightFiles.simulatedBench());
    }

    static NightFiles files(String plan, SourceText bench) {
        try (InputStream in = NightFixture.class.getResourceAsStream("/plans/" + plan)) {
            Parsed<NightFiles> files =
                    NightFiles.read(new SourceText(plan, in.readAllBytes()), NightFiles.simulatedFans(), bench);
            return files.value()
                    .orElseThrow(
                            () -> new IllegalStateException(files.problems().toString()));
        } catch (IOException e) {
            throw new IllegalStateException(e);
        }
    }

    static OffsetDateTime start(NightFiles files) {
        return files.bench().simulation().orElseThrow().start();
    }

    static VirtualClock clock(NightFiles files) {
        return VirtualClock.unpaced(start(files).toInstant());
    }

    static SimulatedBench bench(NightFiles files, long seed, VirtualClock clock, Transport transport) {
        return SimulatedBench.create(files.bench(), files.fans().set(), seed, clock, transport);
    }

    static MemoryRecord record(NightFiles files) {
        return new MemoryRecord(files.toRecord());
    }
}
