package org.plateaubench.acoustics;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Consumer;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.acoustics.ListeningNight.Conditions;
import org.plateaubench.uncertainty.Proportion;
import org.plateaubench.uncertainty.SplitMix64;

/**
 * Seeded nights of listening: how often the true matched speed lies in its interval, and how wide that is. A small share
 * of the campaign; the system property campaign.nights asks for more.
 */
class MatchedSpeedCampaignTest {

    private static final int NIGHTS = Integer.getInteger("campaign.nights", 60);
    private static final long SEED = 51;

    /** What a row of the table says. */
    private record Found(Proportion coverage, double medianHalfWidth, double medianError, int without) {}

    private static Found nights(Conditions c, double gapDb, boolean byOwnLevel) {
        SplitMix64 random = new SplitMix64(SEED);
        int held = 0;
        int without = 0;
        List<Double> widths = new ArrayList<>();
        List<Double> errors = new ArrayList<>();
        for (int i = 0; i < NIGHTS; i++) {
            ListeningNight night = new ListeningNight(c, random);
            double ownDb = 22.0 + Levels.ownDb(gapDb, 0.0);
            Optional<MatchedSpeed> match = LevelLine.fit(night.brackets)
                    .flatMap(line -> byOwnLevel ? line.forOwnLevel(ownDb) : line.forGap(gapDb));
            if (match.isEmpty()) {
                without++;
                widths.add(Double.POSITIVE_INFINITY);
                continue;
            }
            MatchedSpeed m = match.get();
            double truth = byOwnLevel ? night.speedForOwnLevel(ownDb) : night.speedForGap(gapDb);
            held += m.lowRpm() <= truth && truth <= m.highRpm() ? 1 : 0;
            widths.add(m.halfWidthPercent());
            errors.add(100.0 * (m.rpm() / truth - 1.0));
        }
        return new Found(Proportion.of(held, NIGHTS, 0.95), median(widths), median(errors), without);
    }

    private static double median(List<Double> values) {
        return values.stream().sorted().skip(values.size() / 2).findFirst().orElseThrow();
    }

    private static Found print(String what, Found f) {
        System.out.printf(
                Locale.ROOT,
                "%s: coverage %.3f (%.3f to %.3f), median half-width %.1f %%, median error %+.2f %%, no match %d%n",
                what,
                f.coverage().fraction(),
                f.coverage().low(),
                f.coverage().high(),
                f.medianHalfWidth(),
                f.medianError(),
                f.without());
        return f;
    }

    /** Expected half-widths are those of the trade's experience with such nights. */
    @ParameterizedTest
    @CsvSource({"30, 0.4, 8", "30, 1.6, 3.2", "120, 0.4, 4", "120, 1.6, 1.7", "300, 0.4, 3", "300, 1.6, 1.2"})
    void theTrueSpeedLiesInItsInterval(int listenSeconds, double gapDb, double expectedPercent) {
        Conditions c = new Conditions();
        c.listenSeconds = listenSeconds;
        Found f = print(
                String.format(
                        Locale.ROOT,
                        "listen %3d s, gap %.1f dB, expected ±%.1f %%",
                        listenSeconds,
                        gapDb,
                        expectedPercent),
                nights(c, gapDb, false));
        assertTrue(f.coverage().high() >= 0.93 && f.coverage().low() <= 0.97, "seed " + SEED + ": " + f);
        assertTrue(f.medianHalfWidth() < 1.6 * expectedPercent, "seed " + SEED + ": " + f);
    }

    /** Nights that differ from the usual one in what the analysis does not know. */
    @Test
    void theIntervalHoldsOnOtherNightsToo() {
        row("equal own level", c -> {}, 1.6, true);
        row(
                "no gusts, no drift",
                c -> {
                    c.gustsPerHour = 1e-6;
                    c.driftDb = 0.0;
                },
                1.6,
                false);
        row("shared backgrounds", c -> c.sharedBackgrounds = true, 1.6, false);
        row("five speeds", c -> c.speeds = new double[] {1100, 1300, 1500, 1700, 1900}, 1.6, false);
        row("loud fans", c -> c.ownAt1200Db = 8.0, 8.6, true);
        row(
                "loud fans, curved",
                c -> {
                    c.ownAt1200Db = 8.0;
                    c.curvatureDbPerDecadeSquared = 30.0;
                },
                8.6,
                true);
        row(
                "loud fans, resonance of 3 dB",
                c -> {
                    c.ownAt1200Db = 8.0;
                    c.resonanceRpm = 1300.0;
                    c.resonanceDb = 3.0;
                },
                12.0,
                true);
        row("noisy room", c -> c.backgroundNoiseDb = 0.8, 1.6, false);
    }

    private static void row(String what, Consumer<Conditions> change, double gapDb, boolean byOwnLevel) {
        Conditions c = new Conditions();
        change.accept(c);
        Found f = print(what, nights(c, gapDb, byOwnLevel));
        assertTrue(f.coverage().high() >= 0.90, "seed " + SEED + ", " + what + ": " + f);
    }
}
