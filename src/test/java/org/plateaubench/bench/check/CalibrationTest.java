package org.plateaubench.bench.check;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.BenchFiles;
import org.plateaubench.bench.Benches;
import org.plateaubench.bench.check.Calibration.Probe;
import org.plateaubench.bench.check.Calibration.Reference;
import org.plateaubench.bench.serial.Pty;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.ChannelSpec.Range;
import org.plateaubench.benchfile.DeviceSpec;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.units.Unit;

/** Tests of corrections from readings in ice or in one bath. */
class CalibrationTest {

    private static final ChannelSpec AMBIENT = channel("ambient", "A?");
    private static final ChannelSpec COOLANT = channel("coolant", "C?");
    private static final Reference ICE = new Reference(OptionalDouble.of(0.0), 0.01);

    private static ChannelSpec channel(String name, String question) {
        return BenchFiles.channel(
                name, "probes", question, "", Unit.CELSIUS, OptionalInt.empty(), Optional.of(new Range(5, 80)));
    }

    private static List<Double> alternating(double middle, double half, int count) {
        List<Double> values = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            values.add(middle + (i % 2 == 0 ? half : -half));
        }
        return values;
    }

    @Test
    void theCorrectionIsTheIndicatedValueWithItsSignChangedInIce() {
        Probe probe = Calibration.compared(List.of(AMBIENT), List.of(Collections.nCopies(300, 0.12)), ICE, 300)
                .get(0);
        assertEquals(-0.12, probe.correctionKelvin(), 1e-12);
        assertEquals("", probe.fault());
        // The reference and a rectangle of the finest step.
        assertEquals(Math.sqrt(0.01 * 0.01 + 0.001 * 0.001 / 12), probe.standardKelvin(), 1e-12);
    }

    @Test
    void aBathWithoutReferenceBringsTheProbesTogether() {
        List<Probe> probes = Calibration.compared(
                List.of(AMBIENT, COOLANT),
                List.of(Collections.nCopies(60, 24.9), Collections.nCopies(60, 25.2)),
                new Reference(OptionalDouble.empty(), 0.05),
                60);
        assertEquals(0.15, probes.get(0).correctionKelvin(), 1e-12);
        assertEquals(-0.15, probes.get(1).correctionKelvin(), 1e-12);
    }

    /** Validation: standard deviations of quantities that are known here: a step of 0.0625 K, batch means that differ. */
    @Test
    void noiseAndResolutionWidenTheUncertainty() {
        Reference exact = new Reference(OptionalDouble.of(0.0), 0.0);
        Probe coarse = Calibration.compared(List.of(AMBIENT), List.of(alternating(0.0, 0.03125, 600)), exact, 600)
                .get(0);
        assertEquals(0.0625 / Math.sqrt(12), coarse.standardKelvin(), 1e-9);
        List<Double> batches = new ArrayList<>();
        for (int i = 0; i < 10; i++) {
            batches.addAll(Collections.nCopies(60, i % 2 == 0 ? 0.02 : -0.02));
        }
        Probe slow = Calibration.compared(List.of(AMBIENT), List.of(batches), exact, 600)
                .get(0);
        double ofMean = 0.02 * Math.sqrt(10.0 / 9.0) / Math.sqrt(10);
        assertTrue(slow.standardKelvin() > ofMean, slow.toString());
        assertEquals(Math.hypot(ofMean, 0.04 / Math.sqrt(12)), slow.standardKelvin(), 0.0002);
    }

    @Test
    void aProbeThatStillMovesOrIsSeldomReadIsRefused() {
        List<Double> moving = new ArrayList<>();
        for (int i = 0; i < 300; i++) {
            moving.add(0.3 - i * 0.001);
        }
        assertEquals(
                "it still moves, by -0.200 K: wait until it stands still, and do it again",
                Calibration.compared(List.of(AMBIENT), List.of(moving), ICE, 300)
                        .get(0)
                        .fault());
        assertEquals(
                "only 100 of 300 readings are good: plateau bench check says what is wrong",
                Calibration.compared(List.of(AMBIENT), List.of(Collections.nCopies(100, 0.1)), ICE, 300)
                        .get(0)
                        .fault());
    }

    @Test
    void readsARealLineAndTakesTheIcePointThoughItIsOutOfTheBenchsRange() throws Exception {
        assumeTrue(Pty.supported());
        try (Pty pty = Pty.open()) {
            int[] asked = {0};
            // Now and then the answer is the power-on value of a thermometer that was reset.
            pty.serve(request -> Pty.line(request.equals("A?") && asked[0]++ % 11 == 10 ? "85.0" : "0.125"));
            BenchFile file = BenchFiles.of(
                    List.of(BenchFiles.serial("probes", pty.path(), DeviceSpec.Dialect.TEXT, "")),
                    List.of(AMBIENT, COOLANT),
                    List.of());
            try (Bench bench = Benches.real(file, () -> Path.of("unused"), c -> {
                throw new AssertionError("no computer here");
            })) {
                bench.open();
                List<String> progress = new ArrayList<>();
                Probe probe = new Calibration(bench, VirtualClock.unpaced(Instant.EPOCH), progress::add)
                        .run(List.of(AMBIENT), ICE, 130)
                        .get(0);
                assertEquals(-0.125, probe.correctionKelvin(), 1e-12);
                assertTrue(probe.readings() >= 118 && probe.readings() < 130, probe.toString());
                assertEquals(List.of("1 min of 2.2 min", "2 min of 2.2 min"), progress);
            }
        }
    }
}
