package org.plateaubench.bench.load;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Wants;

/** Regression: whatever ends or freezes the run's process, its heat is gone within 6 s. */
class EndedEngineTest {

    /**
     * Shorter than that of real runs, so that a machine that is busy with other tests has time to spare; {@link LoadCampaign}
     * measures with theirs.
     */
    private static final long LEASE_MILLIS = 2_500;

    @TempDir
    Path folder;

    @BeforeAll
    static void onlyWhereProcessesCanBeSeen() {
        Wants.that(Processes.canBeSeen(), "/proc and /bin/sh");
    }

    @ParameterizedTest
    @ValueSource(strings = {"KILL", "STOP", "TERM", "INT"})
    void heatIsGoneWithinSixSeconds(String signal) throws Exception {
        Wants.ears(signal);
        String sleep = "sleep " + Processes.token();
        String script = "trap '' TERM INT HUP; (setsid " + sleep + " &) ; " + sleep + " & wait; " + sleep;
        Process engine = EngineProgram.start(folder, "here", LEASE_MILLIS, List.of("/bin/sh", "-c", script));
        try {
            String argument = sleep.replace(' ', '\0');
            assertTrue(Processes.within(2_000, () -> Processes.with(argument).size() == 2));

            Processes.signal(signal, engine.pid());

            // The engine's own arguments hold the script too, and a stopped engine is still there.
            assertTrue(Processes.within(
                    6_000, () -> Processes.with(sleep).stream().allMatch(pid -> pid == engine.pid())));
            assertEquals(List.of(), Processes.with(argument));
        } finally {
            engine.destroyForcibly();
        }
    }

    /** One of the many rounds of {@link LoadCampaign}. */
    @Test
    void stressNgIsGoneWithinSixSecondsAfterAKill() throws Exception {
        Wants.program("stress-ng");

        LoadCampaign.Round round = LoadCampaign.round(folder, "KILL", 100);

        assertTrue(round.began() >= 3, round::toString);
        assertEquals(List.of(), round.left(), round::toString);
    }
}
