package org.plateaubench.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.plateaubench.Wants;

/**
 * Ends the program with SIGKILL at random moments, see {@link KillCampaign}. CI runs 10; all 300, with their table:
 *
 * <pre>
 * mvn verify -Dtest=none -Dsurefire.failIfNoSpecifiedTests=false -Dit.test=KillIT -Dplateau.kills=300
 * </pre>
 */
class KillIT {

    private static final int MOMENTS = Integer.getInteger("plateau.kills", 10);
    private static final long SEED = Long.getLong("plateau.seed", 1L);
    private static final Path PLAN =
            Path.of(System.getProperty("plateau.plan", "src/test/resources/plans/every-stage.yaml"));
    private static final int PACE = Integer.getInteger("plateau.pace", 240);
    private static final int AT_A_TIME = Integer.getInteger("plateau.programs", 2);

    @TempDir
    Path folder;

    @Test
    void everyNightThatIsEndedAtAnyMomentGoesOnAndLosesNothingThatWasSealed() throws Exception {
        Wants.program("kill");
        List<KillCampaign.Outcome> outcomes = new KillCampaign(folder, SEED, PLAN, PACE).run(MOMENTS, AT_A_TIME);
        System.out.print(KillCampaign.table(outcomes));
        for (KillCampaign.Outcome outcome : outcomes) {
            assertEquals(List.of(), outcome.faults(), outcome.state() + ", seed " + SEED);
        }
    }
}
