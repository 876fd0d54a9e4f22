package org.plateaubench.report;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.night.NightListener;
import org.plateaubench.night.NightRun;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.problem.SourceText;
import org.plateaubench.record.KeyHome;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.TrustFile;

/**
 * A night on the simulated bench, run in this process, with its sealed record.
 *
 * @param record the record's folder
 * @param key key that sealed it
 * @param trust a trust file with that key
 */
record ShortNight(Path record, SealingKey key, TrustFile trust) {

    static ShortNight run(Path folder, String plan) throws Exception {
        NightFiles files;
        try (InputStream in = ShortNight.class.getResourceAsStream("/plans/" + plan)) {
            files = NightFiles.read(
                            new SourceText(plan, in.readAllBytes()),
                            NightFiles.simulatedFans(),
                            NightFiles.simulatedBench())
                    .value()
                    .orElseThrow();
        }
        KeyHome home =
                KeyHome.usual(Map.of("PLATEAU_HOME", folder.resolve("home").toString()), folder.toString());
        SealingKey key = home.create(Optional.empty());
        var start = files.bench().simulation().orElseThrow().start();
        VirtualClock clock = VirtualClock.unpaced(start.toInstant());
        SimulatedBench bench = SimulatedBench.create(files.bench(), files.fans().set(), 3, clock, Transport.IN_PROCESS);
        NightRun run =
                new NightRun(files, Optional.empty(), bench, clock, Double.POSITIVE_INFINITY, hook -> {}, line -> {});
        NightRun.Finished finished = run.run(
                new NightRun.Keeping(
                        folder.resolve("records"),
                        key,
                        "Plateau test",
                        Map.of("by", "a test"),
                        start.getOffset(),
                        (record, simulated) -> {}),
                NightListener.NONE);
        TrustFile trust = new TrustFile(
                List.of(new TrustFile.Trusted("tester", key.signer(), Optional.empty(), Optional.empty())), List.of());
        return new ShortNight(finished.record(), key, trust);
    }

    /** A copy of the record under its own name, in another folder. */
    Path copy(Path folder) throws IOException {
        Path to = folder.resolve(record.getFileName().toString());
        try (Stream<Path> files = Files.walk(record)) {
            for (Path from : files.toList()) {
                Path target = to.resolve(record.relativize(from).toString());
                Files.createDirectories(target.getParent());
                if (!Files.isDirectory(from)) {
                    Files.copy(from, target);
                }
            }
        }
        return to;
    }
}
