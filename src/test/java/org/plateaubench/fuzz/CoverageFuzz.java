package org.plateaubench.fuzz;

import java.io.IOException;

/**
 * The same targets for a fuzzer that is guided by which code an input reaches (Jazzer, which its own jar starts):
 *
 * <pre>
 * mvn -q test-compile dependency:build-classpath -Dmdep.outputFile=target/classpath.txt
 * mvn -q dependency:copy -Dartifact=com.code-intelligence:jazzer:0.30.0 -DoutputDirectory=target
 * java -cp target/jazzer-0.30.0.jar:target/classes:target/test-classes:$(cat target/classpath.txt) -Dplateau.fuzz.target=PLAN
 *      com.code_intelligence.jazzer.Jazzer --target_class=org.plateaubench.fuzz.CoverageFuzz
 *      --instrumentation_includes=org.plateaubench.** -max_total_time=60
 * </pre>
 */
public final class CoverageFuzz {

    private static final FuzzTarget TARGET = FuzzTarget.valueOf(System.getProperty("plateau.fuzz.target", "PLAN"));

    private CoverageFuzz() {}

    /** Called by the fuzzer. */
    public static void fuzzerTestOneInput(byte[] input) throws IOException {
        TARGET.take(input);
    }
}
