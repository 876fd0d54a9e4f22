package org.plateaubench.bench.load;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.plateaubench.Wants;
import org.plateaubench.clock.Deadline;

class ProcessTreeTest {

    private static Process sleeping(Map<String, String> environment) throws IOException {
        ProcessBuilder builder = new ProcessBuilder("sleep", Processes.token());
        builder.environment().putAll(environment);
        return builder.start();
    }

    @Test
    void onlyWhatHasTheWholeMarkIsEnded() throws Exception {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
        String mark = ProcessHandle.current().pid() + "-0-1";
        Process own = sleeping(Map.of(ProcessTree.VARIABLE, mark));
        Process tenth = sleeping(Map.of(ProcessTree.VARIABLE, mark + "0"));
        Process another = sleeping(Map.of("X" + ProcessTree.VARIABLE, mark));
        try {
            assertEquals(List.of(), new ProcessTree(mark).end(null, Deadline.afterMillis(5_000)));

            own.waitFor();
            assertTrue(tenth.isAlive(), "the load with a longer mark");
            assertTrue(another.isAlive(), "a program with another variable");
        } finally {
            List.of(own, tenth, another).forEach(Process::destroyForcibly);
        }
    }
}
