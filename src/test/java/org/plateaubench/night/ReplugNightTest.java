package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.TreeSet;
import java.util.function.Supplier;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.bench.sim.StandaloneSimulator;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Exit;
import org.plateaubench.engine.Progress;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.StepResult;
import org.plateaubench.sample.Quality;

/**
 * The controller's plug pulled and put in again many times in one long night, each time under another name: real lines
 * and ports, found by a star in the bench file, in virtual time. CI pulls a few times; a hundred: {@code mvn test
 * -Dtest=ReplugNightTest -Dplateau.replugs=100}.
 */
@Timeout(600)
class ReplugNightTest {

    private static final int REPLUGS = Integer.getInteger("plateau.replugs", 4);
    /** Three within an hour would end the run, as they should. */
    private static final double EVERY_SECONDS = 1860;

    private static final double RESULT_KELVIN = 0.5;

    private static final String PLAN = """
            title: Replugged night
            purpose: Are results right though the controller's plug is pulled again and again?
            sample-every: 2 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            heat: { power: 200 W }
            measurements:
              - thermal:
                  cooldown: { each: none, duty: 60 %, until: { slope: 2 K/h, window: 5 min, for: 1 min }, within-baseline: 1 K, at-least: 1 min, at-most: 30 min }
                  soak:     { until: { slope: 1 K/h, window: 10 min, for: 1 min, remaining-rise: 0.3 K }, at-least: 5 min, at-most: 30 min }
                  dwell:    { average: 3 min }
                  steps:
                    - { speed: 1500 rpm }
                  repeats: REPEATS
                  order: { kind: as-written }
            """;

    @TempDir
    Path folder;

    private Path link;

    private void plug(StandaloneSimulator simulator, int number) throws IOException {
        if (link != null) {
            Files.delete(link);
        }
        link = folder.resolve("adapter-" + number);
        Files.createSymbolicLink(link, Path.of(simulator.ports().get(0).path()));
    }

    @Test
    void resultsAreRightAndEachGapIsInTheRecord() throws Exception {
        assumeTrue(Pty.supported());
        BenchFile shipped =
                BenchFileReader.read(NightFiles.simulatedBench()).value().orElseThrow();
        VirtualClock clock =
                VirtualClock.unpaced(shipped.simulation().orElseThrow().start().toInstant());
        try (StandaloneSimulator simulator = StandaloneSimulator.start(shipped, "A", 3, clock)) {
            plug(simulator, 0);
            String yaml =
                    simulator.benchFile().replace(simulator.ports().get(0).path() + "\"", folder + "/adapter-*\"");
            int repeats = REPLUGS;
            NightFiles files = SimulatedNights.files(
                    PLAN.replace("REPEATS", Integer.toString(repeats)),
                    new String(NightFiles.simulatedFans().bytes(), StandardCharsets.UTF_8),
                    yaml);
            MemoryRecord record = new MemoryRecord(files.toRecord());
            int[] pulled = {0};
            TreeSet<String> names = new TreeSet<>();
            NightListener puller = new NightListener() {
                @Override
                public void tick(long tick, double seconds, Supplier<Progress> progress) {
                    if (pulled[0] < REPLUGS && seconds >= (pulled[0] + 1) * EVERY_SECONDS) {
                        pulled[0]++;
                        try {
                            simulator.replug("controller");
                            plug(simulator, pulled[0]);
                            names.add(link.getFileName() + " at " + link.toRealPath());
                        } catch (IOException e) {
                            throw new AssertionError(e);
                        }
                    }
                }
            };
            Command.End end;
            try (Bench bench = Benches.real(files.bench(), () -> folder, c -> {
                throw new AssertionError("no computer in this bench");
            })) {
                bench.open();
                end = new Night(files, Optional.empty(), bench, clock, ZoneOffset.UTC, record, puller, true).run();
            }
            NightResults results = NightResults.of(files, record);
            List<RecordedNight.Row> rows = new ArrayList<>();
            record.samples(rows::add);
            int coolant = files.bench().indexOf("coolant");
            long gaps = rows.stream()
                    .filter(r -> r.sample().readings().get(coolant).quality() == Quality.GONE)
                    .count();
            long gone = events(record, "gone");
            long back = events(record, "back");
            StepResult step = results.steps().get(0);
            double truth = simulator.truth().steadyRiseKelvin(step.nominalRpm(), 200.0);
            System.out.printf(
                    Locale.ROOT,
                    "%d replugs in one night of %.1f h: %d passes done, %d spoiled; %d times gone and %d times back in the"
                            + " journal, %d readings of coolant marked gone; rise %.3f K, truth %.3f K; %s%n",
                    pulled[0],
                    clock.nanos() / 3.6e12,
                    step.passes(),
                    results.passes().size() - step.passes(),
                    gone,
                    back,
                    gaps,
                    step.coolantRiseKelvin(),
                    truth,
                    end.reason());
            assertEquals(REPLUGS, pulled[0], "the night ended before the last replug: " + end.reason());
            assertEquals(REPLUGS, names.size());
            assertEquals(REPLUGS, gone);
            assertEquals(REPLUGS, back);
            assertTrue(gaps >= REPLUGS, gaps + " readings marked");
            assertTrue(end.exit() == Exit.DONE || end.exit() == Exit.PASSES_MISSING, end.reason());
            assertTrue(step.passes() >= repeats / 2, step.passes() + " passes");
            assertEquals(truth, step.coolantRiseKelvin(), RESULT_KELVIN);
            assertEquals(100.0, simulator.truth().fanDutyPercent());
        }
    }

    private static long events(MemoryRecord record, String event) throws IOException {
        return record.journal().stream()
                .filter(l -> "controller".equals(l.get("device")))
                .filter(l -> event.equals(String.valueOf(l.get("event")).toLowerCase(Locale.ROOT)))
                .count();
    }
}
