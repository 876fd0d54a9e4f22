package org.plateaubench.bench.sim;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.BenchFileReader;
import org.plateaubench.benchfile.SimulationKey;
import org.plateaubench.benchfile.SimulationSpec;
import org.plateaubench.benchfile.SimulationSpec.FanSetTruth;
import org.plateaubench.benchfile.SimulationSpec.Setting;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.problem.SourceFiles;
import org.plateaubench.problem.SourceText;

/** Simulated benches for tests, each the shipped one with some numbers changed. */
final class Simulations {

    static final long NIGHT_SEED = 11;

    private static final BenchFile SHIPPED = read(SourceFiles.resource("/benches/simulated.yaml", "simulated.yaml"));

    private Simulations() {}

    static VirtualClock clock() {
        return VirtualClock.unpaced(Instant.EPOCH);
    }

    static BenchFile read(SourceText text) {
        var parsed = BenchFileReader.read(text);
        return parsed.value()
                .orElseThrow(() -> new AssertionError(parsed.problems().toString()));
    }

    static BenchFile shipped() {
        return SHIPPED;
    }

    static Setting set(SimulationKey key, double value) {
        return new Setting(key, value);
    }

    /** The shipped bench with settings of bench, room and both fan sets on top of its own. */
    static BenchFile with(Setting... changes) {
        BenchFile file = shipped();
        SimulationSpec spec = file.simulation().orElseThrow();
        List<Setting> settings = new ArrayList<>(spec.settings());
        List<Setting> ofSet = new ArrayList<>();
        for (Setting change : changes) {
            (change.key().ofSet() ? ofSet : settings).add(change);
        }
        List<FanSetTruth> sets = spec.sets().stream()
                .map(s -> {
                    List<Setting> all = new ArrayList<>(s.settings());
                    all.addAll(ofSet);
                    return new FanSetTruth(s.set(), all);
                })
                .toList();
        return with(file, new SimulationSpec(spec.start(), spec.seed(), settings, sets));
    }

    static BenchFile with(BenchFile file, SimulationSpec spec) {
        return file.withSimulation(spec);
    }

    /** A truth without room drift, night and mount effects, spread and speed drift, apart from the changes. */
    static Truth calmTruth(String fanSet, Setting... changes) {
        List<Setting> all = new ArrayList<>(List.of(
                set(SimulationKey.AMBIENT_DRIFT, 0.0),
                set(SimulationKey.AMBIENT_WANDER, 0.0),
                set(SimulationKey.NIGHT_EFFECT, 0.0),
                set(SimulationKey.MOUNT_EFFECT, 0.0),
                set(SimulationKey.SPREAD, 0.0),
                set(SimulationKey.SPEED_DRIFT, 0.0)));
        all.addAll(List.of(changes));
        SimulationSpec spec = with(all.toArray(Setting[]::new)).simulation().orElseThrow();
        return new Truth(new Settings(spec, fanSet), 3, 1L, 2L, NIGHT_SEED);
    }

    static World world(BenchFile file, VirtualClock clock, Faults faults) {
        return new World(file, "A", 1, NIGHT_SEED, clock, faults);
    }
}
