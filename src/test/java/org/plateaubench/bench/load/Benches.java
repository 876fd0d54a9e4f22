package org.plateaubench.bench.load;

import java.util.List;
import java.util.Optional;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.SupplySpec;
import org.plateaubench.benchfile.WorkloadSpec;

/** Bench files with nothing in them but heat loads. */
final class Benches {

    static final String WORKLOAD = "burn";
    static final String SIMULATED = "pretend";

    private Benches() {}

    static BenchFile withWorkload(List<String> command) {
        return of(command, Optional.empty());
    }

    static BenchFile withSupply() {
        return of(
                List.of("true"),
                Optional.of(new SupplySpec("psu", "POW {watt}", Optional.of("POW?"), Optional.empty())));
    }

    private static BenchFile of(List<String> command, Optional<SupplySpec> supply) {
        return new BenchFile(
                "bench",
                List.of(),
                List.of(),
                List.of(),
                List.of(),
                List.of(),
                List.of(new WorkloadSpec.Command(WORKLOAD, command), new WorkloadSpec.Simulated(SIMULATED, 100, 10)),
                supply,
                List.of(),
                Optional.empty(),
                Optional.empty());
    }
}
