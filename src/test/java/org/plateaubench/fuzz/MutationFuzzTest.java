package org.plateaubench.fuzz;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Base64;
import java.util.Locale;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.plateaubench.clock.SystemClock;

/**
 * Well-formed inputs, changed at random by a seed: no crash, no hang, always a value or a clear error. CI tries a few
 * thousand; more: {@code mvn test -Dtest=MutationFuzzTest -Dplateau.fuzz.inputs=100000 -Dplateau.fuzz.first=1}.
 */
class MutationFuzzTest {

    private static final long FIRST = Long.getLong("plateau.fuzz.first", 1);
    private static final long INPUTS = Long.getLong("plateau.fuzz.inputs", 200);
    /** So long may one input take, on a machine that does something else too. */
    private static final double MOST_SECONDS = 5;

    private static final int SHOWN_BYTES = 300;

    @ParameterizedTest
    @EnumSource
    void anyBytesAreMetWithAValueOrAClearError(FuzzTarget target) {
        SystemClock clock = new SystemClock();
        double longest = 0;
        long inputs = target.share(INPUTS);
        for (long seed = FIRST; seed < FIRST + inputs; seed++) {
            byte[] input = new Mutation(seed).of(target.seeds());
            long begin = clock.nanos();
            try {
                target.take(input);
            } catch (Exception | Error e) {
                throw new AssertionError(
                        target + ", seed " + seed + ", its beginning in Base64: "
                                + Base64.getEncoder()
                                        .encodeToString(Arrays.copyOf(input, Math.min(input.length, SHOWN_BYTES))),
                        e);
            }
            double seconds = (clock.nanos() - begin) / 1e9;
            longest = Math.max(longest, seconds);
            assertTrue(seconds < MOST_SECONDS, target + ", seed " + seed + " took " + seconds + " s");
        }
        System.out.printf(
                Locale.ROOT,
                "%-16s %7d inputs in %6.1f s, the longest %.3f s, no finding%n",
                target,
                inputs,
                clock.nanos() / 1e9,
                longest);
    }

    /** Regression: 6000 bytes of commas where an identity was awaited took minutes. */
    @Test
    void aLongLineOfCommasIsNoIdentityAndTakesNoTime() throws Exception {
        SystemClock clock = new SystemClock();
        FuzzTarget.SCPI_REPLIES.take(new Mutation(107428).of(FuzzTarget.SCPI_REPLIES.seeds()));
        assertTrue(clock.nanos() / 1e9 < MOST_SECONDS);
    }
}
