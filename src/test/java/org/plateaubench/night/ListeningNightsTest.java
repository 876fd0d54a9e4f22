package org.plateaubench.night;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.IntStream;
import org.apache.commons.math3.stat.descriptive.DescriptiveStatistics;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.results.AcousticResult;
import org.plateaubench.uncertainty.Proportion;

/**
 * Validation of the whole way from the meter's line to the matched speed: seeded nights on the simulated bench with gusts
 * and a drifting, wandering background, against the simulator's truth. Fans 10.2 dB below the background at 1200 rpm and
 * 3.5 dB below it at 1600 rpm, which makes totals 0.4 and 1.6 dB above it. The table is printed. CI takes a few nights;
 * the whole campaign:
 *
 * <pre>mvn test -Dtest=ListeningNightsTest -Dplateau.nights=2000</pre>
 */
class ListeningNightsTest {

    private static final int NIGHTS = Integer.getInteger("plateau.nights", 8);

    private static final String PLAN = """
            title: Listening
            purpose: At which speeds are the fans 0.4 and 1.6 dB above the background?
            sample-every: 1 s
            pump-lock: { speed: 2700 rpm, within: 2 %, for: 10 s }
            heat: { workload: compile }
            measurements:
              - acoustic:
                  speeds: [700 rpm, 900 rpm, 1100 rpm, 1300 rpm, 1500 rpm, 1700 rpm, 1900 rpm]
                  listen: LISTEN
                  background: { listen: BACKGROUND, drift: 1 dB }
              - thermal:
                  cooldown: { each: none, duty: 60 %, until: { slope: 5 K/h, window: 2 min, for: 10 s }, within-baseline: 0.5 K, at-least: 1 min, at-most: 10 min }
                  soak: { until: { slope: 5 K/h, window: 2 min, for: 10 s }, at-least: 2 min, at-most: 20 min }
                  dwell: { average: 2 min }
                  steps: [{ own-level: 15.8 dB }, { own-level: 22.5 dB }]
                  repeats: 1
                  order: { kind: as-written }
            """;

    private static final String FANS = """
            set: A
            specimens: [A-1, A-2, A-3]
            mount: { number: 1 }
            """;

    /** Level and slope at 1000 rpm from 15.8 dB at 1200 rpm and 22.5 dB at 1600 rpm. */
    private static final double SLOPE = 6.7 / StrictMath.log10(1600.0 / 1200.0);

    private static final double LEVEL = 15.8 - SLOPE * StrictMath.log10(1.2);

    private static final String ROOM = "background-level: 26 dB, background-night: 0 dB, background-wander: 0.2 dB,"
            + " background-drift: 0.3 dB, gusts: 12, gust-level: 6 dB, level-fluctuation: 0.6 dB";

    /** Half-widths in the last two columns are what experience with such nights expects, per cent. */
    @ParameterizedTest
    @CsvSource({"30 s, 15 s, 8, 3.2", "2 min, 1 min, 4, 1.7", "5 min, 150 s, 3, 1.2"})
    void theTrueSpeedLiesInItsInterval(
            String listen, String background, double expectedAtFour, double expectedAtSixteen) throws IOException {
        String set = String.format(
                Locale.ROOT, "level: %.4f dB, level-slope: %.4f dB, spread: 0 %%, speed-drift: 0 %%", LEVEL, SLOPE);
        NightFiles files = SimulatedNights.files(
                PLAN.replace("LISTEN", listen).replace("BACKGROUND", background),
                FANS,
                SimulatedNights.bench(ROOM, set));
        List<List<AcousticResult.Match>> nights = IntStream.rangeClosed(1, NIGHTS)
                .parallel()
                .mapToObj(seed -> night(files, seed))
                .toList();
        row(listen, 0.4, 1200, expectedAtFour, 0, nights);
        row(listen, 1.6, 1600, expectedAtSixteen, 1, nights);
    }

    private static List<AcousticResult.Match> night(NightFiles files, long seed) {
        try {
            SimulatedNights.Left left = SimulatedNights.runUntil("baseline", files, Optional.empty(), seed);
            return left.results().acoustic().orElseThrow().matches();
        } catch (IOException e) {
            throw new IllegalStateException("seed " + seed, e);
        }
    }

    private static void row(
            String listen,
            double gapDb,
            double truthRpm,
            double expectedPercent,
            int step,
            List<List<AcousticResult.Match>> nights) {
        DescriptiveStatistics widths = new DescriptiveStatistics();
        DescriptiveStatistics errors = new DescriptiveStatistics();
        int held = 0;
        int found = 0;
        for (List<AcousticResult.Match> night : nights) {
            String text = step == 0 ? "15.8 dB own level" : "22.5 dB own level";
            Optional<AcousticResult.Match> match =
                    night.stream().filter(m -> m.step().equals(text)).findFirst();
            if (match.isPresent()) {
                AcousticResult.Match m = match.get();
                double high = Double.isNaN(m.highRpm()) ? Double.POSITIVE_INFINITY : m.highRpm();
                found++;
                held += m.lowRpm() <= truthRpm && truthRpm <= high ? 1 : 0;
                widths.addValue(Double.isNaN(m.halfWidthPercent()) ? 1000 : m.halfWidthPercent());
                errors.addValue(100.0 * (m.rpm() / truthRpm - 1.0));
            }
        }
        Proportion coverage = Proportion.of(held, found, 0.95);
        System.out.printf(
                Locale.ROOT,
                "listen %5s, %.1f dB above the background: %d nights, matched %d, true speed in its interval %.1f %%"
                        + " (%.1f to %.1f), median half-width ±%.1f %% (expected ±%.1f %%), median error %+.2f %%%n",
                listen,
                gapDb,
                nights.size(),
                found,
                100 * coverage.fraction(),
                100 * coverage.low(),
                100 * coverage.high(),
                widths.getPercentile(50),
                expectedPercent,
                errors.getPercentile(50));
        String seeds = "seeds 1 to " + NIGHTS + ": ";
        assertTrue(found >= 0.9 * nights.size(), seeds + "matched " + found);
        assertTrue(coverage.high() >= 0.93 && coverage.low() <= 0.97, seeds + coverage);
        assertEquals(0.0, errors.getPercentile(50), 2 * expectedPercent, seeds);
    }
}
